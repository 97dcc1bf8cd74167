package score

import (
	"strconv"
	"strings"

	"fourfold/parser/syntax"
)

// fieldLine takes a field's line. It acts when the next line is no +: line that
// goes on with it.
func (r *reader) fieldLine(l *syntax.Line, i int) {
	text, span := r.value(l, i)
	if l.Kind == syntax.PlusLine {
		r.last.more = append(r.last.more, text)
		r.last.span.End = span.End
		if r.last.code == 0 {
			r.problem(RuleField, span, "`+:` goes on with the field before it, and there is none: write the field's own letter.")
		}
		return
	}
	r.flushField()
	r.last = field{code: l.Field, text: text, span: span}
}

func (r *reader) flushField() {
	f := r.last
	if f.code == 0 {
		return
	}
	if f.more != nil {
		f.text = strings.TrimRight(f.text, " \t") + " " + strings.Join(f.more, " ")
	}
	r.last, r.after = field{}, f.code
	r.apply(f, false)
}

// value finds the text of a field or directive among the leaves of its line.
func (r *reader) value(l *syntax.Line, i int) (string, Span) {
	at := r.file.Start(i)
	for _, lf := range l.Leaves {
		if k := lf.Kind(); k == syntax.FieldText || k == syntax.DirectiveText {
			return string(r.file.Text()[at : at+lf.Len()]), Span{at, at + lf.Len()}
		} else if k == syntax.Comment || k == syntax.LineEnd {
			break
		}
		at += lf.Len()
	}
	return "", Span{at, at}
}

// apply acts on a field, in a header, in the body, or inline.
func (r *reader) apply(f field, inline bool) {
	if !r.checkPlace(f, inline) {
		return
	}
	switch f.code {
	case 'X':
		r.tune.Number = strings.TrimSpace(f.text)
	case 'T':
		if r.tune.Title == "" && !r.body {
			r.tune.Title = r.plain(f.text)
		}
	case 'M':
		r.setMeter(f)
	case 'L':
		r.setUnit(f)
	case 'K':
		r.setKey(f)
	case 'Q':
		r.setTempo(f)
	case 'V':
		r.setVoice(f)
	case 'P':
		if r.body {
			r.setPart(strings.TrimSpace(f.text))
		}
	case 'I':
		name, rest, _ := strings.Cut(strings.TrimSpace(f.text), " ")
		r.instruct(strings.ToLower(name), strings.TrimSpace(rest), f.span)
	case 'U':
		r.setSymbol(f)
	case 'm':
		r.setMacro(f)
	case 'w':
		if r.scoped() {
			r.lyrics(f)
		}
	case 's':
		if r.scoped() {
			r.symbolLine(f)
		}
	}
}

func (r *reader) setMeter(f field) {
	m, ok := parseMeter(f.text)
	if !ok {
		r.problem(RuleSyntax, f.span, "The meter `"+f.text+"` is not understood: write it as `M:3/4`, `M:C`, `M:C|`, `M:(2+3)/8` or `M:none`.")
		return
	}
	if r.scoped() {
		r.voice.setMeter(m)
		return
	}
	r.env.meter = m
	for _, v := range r.voices {
		v.setMeter(m)
	}
}

// scoped says whether a field acts on the current voice alone. In the body,
// before any voice has been turned to or any music read, it acts on all.
func (r *reader) scoped() bool { return r.body && r.voice != nil }

// setPart notes the part that starts with the next bar.
func (r *reader) setPart(name string) {
	if r.voice == nil {
		r.part = name
		return
	}
	r.voice.part = name
}

func (r *reader) setUnit(f field) {
	u, ok := parseUnit(f.text)
	if !ok {
		if !strings.EqualFold(strings.TrimSpace(f.text), "auto") {
			r.problem(RuleSyntax, f.span, "The unit note length `"+f.text+"` is not understood: write it as `L:1/8`.")
		}
		return
	}
	if r.scoped() {
		r.voice.unit = u
		return
	}
	r.env.unit = u
	for _, v := range r.voices {
		v.unit = u
	}
}

// parseUnit reads L:, one over a power of two as a rule.
func parseUnit(s string) (Frac, bool) {
	num, den, found := strings.Cut(strings.TrimSpace(s), "/")
	n, err := strconv.Atoi(strings.TrimSpace(num))
	d := 1
	if found && err == nil {
		d, err = strconv.Atoi(strings.TrimSpace(den))
	}
	if err != nil || n < 1 || d < 1 || n > 64 || d > 4096 {
		return Frac{}, false
	}
	return F(int64(n), int64(d)), true
}

func (r *reader) setKey(f field) {
	k := parseKey(f.text)
	for _, message := range k.faults {
		r.problem(RuleSyntax, f.span, message)
	}
	if r.scoped() {
		if k.given {
			r.voice.setKey(k.key)
		}
		r.voice.shape(k.props)
		return
	}
	if k.given {
		r.env.key = k.key
	}
	r.env.shift.merge(k.props.shift)
	if k.props.clef != "" {
		r.env.clef = k.props.clef
	}
	if !r.body {
		r.startBody()
		return
	}
	for _, v := range r.voices {
		if k.given {
			v.setKey(k.key)
		}
		v.shape(k.props)
	}
}

// startBody ends the header: the declared voices take what it set.
func (r *reader) startBody() {
	r.body = true
	for _, v := range r.voices {
		v.inherit(&r.env)
	}
}

func (r *reader) directiveLine(l *syntax.Line, i int) {
	r.flushField()
	at := r.file.Start(i)
	if len(l.Leaves) == 0 || l.Leaves[0].Kind() != syntax.DirectiveName {
		return
	}
	name := strings.ToLower(string(r.file.Text()[at+2 : at+l.Leaves[0].Len()]))
	text, span := r.value(l, i)
	r.instruct(name, text, span)
}
