package score

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"

	"fourfold/parser/syntax"
)

// Align gives the edits that set the bars of voices in columns, in the systems
// that touch the lines from first to last. A system is a run of lines of music,
// each of another voice: what an engraver sees as voices that sound together. Only
// blanks before bar lines, and behind a bar line or field that starts a line, are
// changed, which mean nothing in ABC; tunes with macros that hold a blank or a bar
// line are left alone, and so are lines with something that is not understood.
//
// The edits are in the order of the text; made again, they change nothing.
func Align(f *syntax.File, first, last int) (edits []Edit) {
	a := aligner{file: f}
	for _, b := range f.Blocks() {
		if b.Kind != syntax.TuneBlock || b.End <= first || b.First > last || riskyMacros(f, b) {
			continue
		}
		for _, s := range a.systems(b) {
			if s[0].line <= last && s[len(s)-1].line >= first {
				edits = append(edits, a.align(s)...)
			}
		}
	}
	return edits
}

// riskyMacros says whether a macro of the file's header or of the tune matches a
// blank or a bar line.
func riskyMacros(f *syntax.File, tune syntax.Block) bool {
	risky := func(b syntax.Block) bool {
		for i := b.First; i < b.End; i++ {
			l := f.Line(i)
			if l.Kind != syntax.FieldLine || l.Field != 'm' {
				continue
			}
			value, _ := leafText(l, f.LineText(i), syntax.FieldText)
			target, _, _ := strings.Cut(value, "=")
			if strings.ContainsAny(strings.TrimSpace(target), " \t|[]:") {
				return true
			}
		}
		return false
	}
	for _, b := range f.Blocks() {
		if b.Kind == syntax.FileHeaderBlock && risky(b) {
			return true
		}
	}
	return risky(tune)
}

// aligner finds systems and sets them.
type aligner struct{ file *syntax.File }

// row is one line of music of a system. Spans are bytes of the file.
type row struct {
	line  int
	head  Span // fields in brackets at its start, without the blanks behind them
	after Span // these blanks
	cells []cell
}

// cell is what stands between two bar lines, with the second of them. A bar line
// that starts the line belongs to the first cell's body.
type cell struct {
	lead Span // blanks before the body; empty in the first cell
	body Span
	gap  Span // blanks before the bar line
	bar  Span
	tied bool // the body must stand right behind the bar line before it
}

// systems are the runs of lines of music that belong together, of two lines at
// least.
func (a *aligner) systems(b syntax.Block) (systems [][]row) {
	var rows []row
	seen := map[string]bool{}
	flush := func() {
		if len(rows) > 1 {
			systems = append(systems, rows)
		}
		rows, seen = nil, map[string]bool{}
	}
	voice := ""
	for i := b.First; i < b.End; i++ {
		l := a.file.Line(i)
		switch {
		case l.Kind == syntax.FieldLine && l.Field == 'V' && l.Zone == syntax.TuneBody:
			value, _ := leafText(l, a.file.LineText(i), syntax.FieldText)
			voice = value[:wordEnd(value)]
		case l.Kind == syntax.CommentLine, l.Kind == syntax.PlusLine, l.Kind == syntax.FieldLine && strings.IndexByte("wsr", l.Field) >= 0:
		case l.Kind == syntax.MusicLine:
			if id := voiceOf(l, a.file.LineText(i)); id != "" {
				voice = id
			}
			r, ok := a.row(i)
			if seen[voice] || !ok {
				flush()
			}
			if ok {
				rows = append(rows, r)
				seen[voice] = true
			}
		default:
			flush()
		}
	}
	flush()
	return systems
}

// voiceOf is the voice that a line starts with, in brackets; "" for none.
func voiceOf(l *syntax.Line, text []byte) string {
	at, code := 0, byte(0)
	for _, lf := range l.Leaves {
		word := text[at : at+lf.Len()]
		at += lf.Len()
		switch lf.Kind() {
		case syntax.FieldName:
			code = word[1]
		case syntax.FieldText:
			if code == 'V' {
				return string(word[:wordEnd(string(word))])
			}
		case syntax.FieldEnd, syntax.Space:
		default:
			return ""
		}
	}
	return ""
}

// row cuts a line at its bar lines; false where something on it is not
// understood, or a field turns to another voice behind its start.
func (a *aligner) row(i int) (r row, ok bool) {
	l, text := a.file.Line(i), a.file.LineText(i)
	at := a.file.Start(i)
	r = row{line: i, head: Span{at, at}, after: Span{at, at}}
	head, c := true, cell{}
	for k, lf := range l.Leaves {
		leaf := Span{at, at + lf.Len()}
		at = leaf.End
		kind := lf.Kind()
		switch {
		case kind.IsError(), kind == syntax.OldChord, !head && kind == syntax.FieldName && text[leaf.Start-a.file.Start(i)+1] == 'V':
			return r, false
		case kind == syntax.LineEnd, kind == syntax.Comment, kind == syntax.Continuation:
			return r, true
		case head && (kind == syntax.FieldName || kind == syntax.FieldText || kind == syntax.FieldEnd):
			r.head.End, r.after = leaf.End, Span{leaf.End, leaf.End}
		case head && kind == syntax.Space && k > 0:
			r.after = leaf
		case head:
			head = false
			c = cell{lead: Span{leaf.Start, leaf.Start}, body: leaf, gap: Span{leaf.End, leaf.End}}
		case kind == syntax.Bar:
			c.bar = leaf
			r.cells = append(r.cells, c)
			c = cell{lead: Span{at, at}, body: Span{at, at}, gap: Span{at, at}}
		case kind == syntax.Space && c.body == c.lead && len(r.cells) > 0:
			c.lead, c.body, c.gap = leaf, Span{at, at}, Span{at, at}
		case kind == syntax.Space:
			c.gap = leaf
		default:
			c.tied = c.tied || kind == syntax.Ending && c.body.Start == leaf.Start
			c.body.End, c.gap = leaf.End, Span{leaf.End, leaf.End}
		}
	}
	return r, true
}

// width counts the characters of a span.
func (a *aligner) width(s Span) int { return utf8.RuneCount(a.file.Text()[s.Start:s.End]) }

// align sets a system: the music of all lines with a field at their start begins in
// one column, and each bar line ends in one.
func (a *aligner) align(rows []row) (edits []Edit) {
	blanks := func(s Span, n int) {
		if want := strings.Repeat(" ", n); string(a.file.Text()[s.Start:s.End]) != want {
			edits = append(edits, Edit{s, want})
		}
	}
	widest, bars := 0, 0
	for _, r := range rows {
		widest, bars = max(widest, a.width(r.head)), max(bars, len(r.cells))
	}
	at := make([]int, len(rows)) // the column that each row has come to
	for i, r := range rows {
		if head := a.width(r.head); head > 0 {
			blanks(r.after, widest-head+1)
			at[i] = widest + 1
		} else {
			at[i] = a.width(r.after)
		}
	}
	for k := range bars {
		lead, end := 0, 0
		for _, r := range rows {
			if k < len(r.cells) {
				lead = max(lead, min(1, a.width(r.cells[k].lead)))
			}
		}
		for i, r := range rows {
			if k < len(r.cells) {
				end = max(end, at[i]+a.least(r.cells[k], lead))
			}
		}
		for i, r := range rows {
			if k < len(r.cells) {
				c := r.cells[k]
				blanks(c.lead, a.leadOf(c, lead))
				blanks(c.gap, min(1, a.width(c.gap))+end-at[i]-a.least(c, lead))
				at[i] = end
			}
		}
	}
	slices.SortStableFunc(edits, func(x, y Edit) int { return cmp.Compare(x.Span.Start, y.Span.Start) })
	return edits
}

// leadOf is how many blanks stand before the body of a cell: one where it or a cell
// above or below has some, if one may stand there.
func (a *aligner) leadOf(c cell, lead int) int {
	if c.tied || a.width(c.body) == 0 {
		return min(1, a.width(c.lead))
	}
	return lead
}

// least is the width of a cell with no more blanks before its bar line than one
// where it has some.
func (a *aligner) least(c cell, lead int) int {
	return a.leadOf(c, lead) + a.width(c.body) + min(1, a.width(c.gap)) + a.width(c.bar)
}
