package score

import (
	"bytes"
	"strings"

	"fourfold/parser/syntax"
)

// cursor walks over the leaves of one line of music.
type cursor struct {
	r      *reader
	v      *voice
	text   []byte
	leaves []syntax.Leaf
	i      int // leaf
	at     int // offset of the leaf in text
	src    source
	breaks syntax.Breaks // what ends a line of the printed score
}

// source says where a piece of music stands in the file: as it is, or as what
// macros have made of it.
type source struct {
	base  int
	parts []part
}

func (s *source) span(from, to int) Span {
	if s.parts == nil {
		return Span{s.base + from, s.base + to}
	}
	return s.mapped(from, to)
}

const endOfLine = syntax.Kind(255)

func (c *cursor) kind() syntax.Kind {
	if c.i < len(c.leaves) {
		return c.leaves[c.i].Kind()
	}
	return endOfLine
}

// word is the text of the leaf.
func (c *cursor) word() []byte { return c.text[c.at : c.at+c.leaves[c.i].Len()] }

// span is the leaf's place in the file.
func (c *cursor) span() Span { return c.src.span(c.at, c.at+c.leaves[c.i].Len()) }

func (c *cursor) next() {
	c.at += c.leaves[c.i].Len()
	c.i++
}

// skip passes over reserved signs if, behind them, there is a leaf of the kind.
func (c *cursor) skip(k syntax.Kind) bool {
	i, at := c.i, c.at
	for i < len(c.leaves) && c.leaves[i].Kind() == syntax.Reserved {
		at += c.leaves[i].Len()
		i++
	}
	if i < len(c.leaves) && c.leaves[i].Kind() == k {
		c.i, c.at = i, at
		return true
	}
	return false
}

func (r *reader) musicLine(l *syntax.Line, i int) {
	if !r.body {
		r.missingKey(l, i)
	}
	r.music++
	text := r.file.LineText(i)
	c := cursor{r: r, v: r.voice, text: text, leaves: l.Leaves, src: source{base: r.file.Start(i)}, breaks: l.Dialect().Breaks}
	if !r.env.macros.none() {
		r.expand(&c, l.Dialect())
	}
	for c.i < len(c.leaves) {
		c.element()
	}
}

func (r *reader) missingKey(l *syntax.Line, i int) {
	start := r.file.Start(i)
	r.problem(RuleField, Span{start, start + len(bytes.TrimRight(r.file.LineText(i), " \t\r\n"))},
		"The music starts without a `K:` line: the header ends with one. `K:C` is assumed.",
		TextFix{Title: "Add `K:C` before the music", Edits: []Edit{{Span{start, start}, "K:C\n"}}})
	r.startBody()
}

// element reads one thing: a note with all that belongs to it, a bar line, a
// mark that waits for its note.
func (c *cursor) element() {
	k := c.kind()
	switch k {
	case syntax.ScoreBreak:
		c.scoreBreak()
		return
	case syntax.Space, syntax.LineEnd, syntax.Comment, syntax.Continuation, syntax.Reserved, syntax.BeamMark:
		c.next()
		return
	case syntax.FieldName:
		c.inlineField()
		return
	}
	if c.v == nil {
		c.v = c.r.current()
	}
	if k == syntax.Bar {
		c.v.barLine(c.r, string(c.word()), c.span())
		c.next()
		return
	}
	if !c.v.started {
		c.v.touch(c.r.file.Start(c.r.line), c.span().Start)
	}
	switch k {
	case syntax.Accidental, syntax.Pitch:
		c.single()
	case syntax.ChordOpen:
		c.chord()
	case syntax.Rest, syntax.MeasureRest, syntax.Spacer:
		c.rest()
	case syntax.GraceOpen:
		c.grace()
	case syntax.Decoration, syntax.Shorthand, syntax.Quoted:
		c.v.marks = c.marks(c.v.marks)
	default:
		c.sign(k)
	}
}

// scoreBreak passes over $ or !. A ! that no I:linebreak allows is an old form.
func (c *cursor) scoreBreak() {
	if c.word()[0] == '!' && c.breaks&syntax.BreakBang == 0 {
		c.r.loose(c.span(), "A single `!` that breaks the line is outdated: write `$`, or `!name!` for a decoration.",
			replace("Write `$`", c.span(), "$"))
	}
	c.next()
}

// sign reads what stands between notes.
func (c *cursor) sign(k syntax.Kind) {
	v, span, word := c.v, c.span(), string(c.word())
	c.next()
	switch k {
	case syntax.Broken:
		v.breakRhythm(c.r, word, span)
	case syntax.Tie:
		c.tie(span)
	case syntax.SlurOpen:
		v.openSlur(span)
	case syntax.SlurClose:
		v.closeSlur(span)
	case syntax.Tuplet:
		v.startTuplet(c.r, word, span)
	case syntax.Ending:
		v.ending = strings.Trim(word, `["`)
	case syntax.Overlay:
		v.overlay(c.r, len(word), span)
	case syntax.OverlayOpen, syntax.OverlayClose:
		c.r.loose(span, "`(&` and `&)` are an extension that lays a voice over several bars; they are not read. Write `&` in each bar.")
	case syntax.OldChord:
		c.oldChord(span)
	case syntax.Length:
		c.strayLength(word, span)
	default:
		c.broken(k, word, span)
	}
}

// strayLength is a number or slash with no note before it.
func (c *cursor) strayLength(word string, span Span) {
	if strings.Trim(word, "/") == "" {
		c.r.loose(span, "`"+word+"` as a sign to repeat a bar is an extension and is not read: write the bar out.")
		return
	}
	c.r.problem(RuleSyntax, span, "The length `"+word+"` follows no note.")
}

// tie reads a - after the last event.
func (c *cursor) tie(span Span) {
	v := c.v
	if v.last < 0 || v.events[v.last].Kind != Sound {
		c.r.problem(RuleTie, span, "This tie follows no note: write `-` right after the note that it starts from.")
		return
	}
	e := &v.events[v.last]
	if e.Span.End+v.bar.start == span.Start {
		e.Span.End += span.End - span.Start
		if !e.Chord {
			e.Notes[0].Span.End = e.Span.End
		}
	} else {
		c.r.loose(span, "A tie stands right after its note, with no blank between.")
	}
	for i := range e.Notes {
		if !v.openAlready(i) {
			v.tieNote(i, span)
		}
	}
}

// openAlready says whether a tie from that note of the last event is open.
func (v *voice) openAlready(note int) bool {
	for i := range v.ties {
		o := v.ties[i].origin
		if o.bar == v.number && o.event == v.last && o.note == note {
			return true
		}
	}
	return false
}

// inlineField reads [X:…].
func (c *cursor) inlineField() {
	f := field{code: c.word()[1]}
	c.next()
	f.span = c.src.span(c.at, c.at)
	for c.kind() == syntax.Space {
		c.next()
	}
	for c.kind() == syntax.FieldText || c.kind() == syntax.Space {
		if c.kind() == syntax.FieldText {
			f.text += string(c.word())
			f.span = c.span()
		}
		c.next()
	}
	if c.kind() == syntax.FieldEnd {
		c.next()
	}
	c.r.apply(f, true)
	c.v = c.r.voice
}

// broken reports a leaf that the grammar does not know.
func (c *cursor) broken(k syntax.Kind, word string, span Span) {
	shown := shorten(word)
	switch k {
	case syntax.BadAccidental:
		c.r.problem(RuleSyntax, span, "The accidental `"+shown+"` stands before no note.")
	case syntax.BadQuote:
		c.r.problem(RuleUnclosed, span, "This quotation mark is never closed on its line: text stands between two of them, as in `\"^dolce\"`.")
	case syntax.BadDecoration:
		c.r.problem(RuleUnclosed, span, "`"+shown+"` opens a decoration that is never closed: write `!name!`.")
	case syntax.BadField:
		c.r.problem(RuleUnclosed, span, "The field `"+shown+"` is never closed: put `]` after it.")
	case syntax.BadClose:
		c.r.problem(RuleUnclosed, span, "`"+shown+"` closes nothing: no chord or grace group is open here.")
	case syntax.GraceClose, syntax.ChordClose:
		c.r.problem(RuleUnclosed, span, "`"+shown+"` closes nothing here.")
	default:
		c.r.problem(RuleSyntax, span, "`"+shown+"` means nothing here.")
	}
}

func shorten(s string) string {
	const most = 20
	s = strings.ToValidUTF8(s, "?")
	if runes := []rune(s); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return s
}
