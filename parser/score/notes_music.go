package score

import (
	"slices"
	"strings"

	"fourfold/parser/syntax"
)

// written reads accidental, letter, octave marks and length. It is false where
// no note follows.
func (c *cursor) written() (written, bool) {
	w := written{length: F(1, 1)}
	from := c.at
	if c.kind() == syntax.Accidental {
		w.accidental = string(c.word())
		c.next()
		if !c.skip(syntax.Pitch) {
			return w, false
		}
	}
	w.letter = c.word()[0]
	c.next()
	head := c.at
	for c.skip(syntax.Octave) {
		w.octave += octaveMarks(c.word())
		c.next()
		head = c.at
	}
	to := head
	if c.skip(syntax.Length) {
		w.length = c.length()
		to = c.at
	}
	w.span, w.head = c.src.span(from, to), c.src.span(from, head)
	w.expanded = c.src.parts != nil && c.src.expanded(from)
	return w, true
}

func octaveMarks(b []byte) int {
	n := 0
	for _, m := range b {
		if m == '\'' {
			n++
		} else {
			n--
		}
	}
	return max(-maxOctaves, min(maxOctaves, n))
}

// length reads a Length leaf.
func (c *cursor) length() Frac {
	word := string(c.word())
	f, ok := parseLength(word)
	if !ok {
		c.r.problem(RuleSyntax, c.span(), "The length `"+shorten(word)+"` cannot be read: write `3`, `3/2`, `/` or `/4`, between 1/4096 and 4096. It is taken as "+f.String()+".")
	}
	c.next()
	return f
}

// outer reads the length behind a chord or a rest, 1 where there is none.
func (c *cursor) outer() Frac {
	if c.skip(syntax.Length) {
		return c.length()
	}
	return F(1, 1)
}

// single reads one note.
func (c *cursor) single() {
	w, ok := c.written()
	if !ok {
		return
	}
	v := c.v
	e := v.next(c.r, Sound, w.span)
	e.Notes, e.Expanded = v.newNotes(c.r, 1), w.expanded
	n := &e.Notes[0]
	v.pitch(c.r, &w, n)
	n.Span, n.Head = e.Span, v.rel(n.Head)
	v.place(c.r, e, w.length)
	v.endTies(c.r, e)
}

// notesRoom is how many notes are made at a time.
const notesRoom = 64

// newNotes cuts a short slice from a long one. In a long tune it is the notes of a bar that
// is packed: they are copied where they stay, and their room is used again.
func (v *voice) newNotes(r *reader, n int) []Note {
	if !r.long {
		if n > len(r.notes) {
			r.notes = make([]Note, max(notesRoom, n))
		}
		return take(&r.notes, n)
	}
	if n > len(v.notes) {
		v.room = make([]Note, max(notesRoom, n, 2*len(v.room)))
		v.notes = v.room
	}
	notes := take(&v.notes, n)
	clear(notes)
	return notes
}

// inChord is what a chord or a grace group holds while it is read.
type inChord struct {
	notes []Note
	ties  []tieIn
}

type tieIn struct {
	note int
	span Span
}

// chord reads [CEG] with what stands inside and behind it.
func (c *cursor) chord() {
	from := c.at
	c.next()
	in := c.chordInside(syntax.ChordClose, c.src.span(from, from+1))
	outer := c.outer()
	c.placeChord(in, outer, c.src.span(from, c.at), c.src.parts != nil && c.src.expanded(from))
}

// placeChord puts a chord into the bar. The standard gives a chord one length;
// where those inside differ, the first note's stands for all.
func (c *cursor) placeChord(in inChord, outer Frac, span Span, expanded bool) {
	v := c.v
	if len(in.notes) == 0 {
		c.r.problem(RuleSyntax, span, "This chord holds no note.")
		return
	}
	e := v.next(c.r, Sound, span)
	e.Chord, e.Expanded = true, expanded
	e.Notes = v.newNotes(c.r, len(in.notes))
	copy(e.Notes, in.notes)
	for i := range e.Notes {
		n := &e.Notes[i]
		n.Span, n.Head = v.rel(n.Span), v.rel(n.Head)
		for j := range n.Marks {
			n.Marks[j].Span = v.rel(n.Marks[j].Span)
		}
	}
	v.place(c.r, e, in.notes[0].Duration.Mul(outer))
	v.endTies(c.r, e)
	for _, t := range in.ties {
		v.tieNote(t.note, t.span)
	}
}

const maxChord = 1000

// chordInside reads the notes up to the closing bracket. A bar line or the line
// end closes a chord that nothing else did.
func (c *cursor) chordInside(end syntax.Kind, open Span) inChord {
	in := inChord{notes: c.r.chord[:0]}
	defer func() { c.r.chord = in.notes }()
	var marks []Mark
	for {
		switch k := c.kind(); k {
		case end:
			c.next()
			return in
		case syntax.Accidental, syntax.Pitch:
			w, ok := c.written()
			if !ok {
				continue
			}
			in.notes = append(in.notes, Note{})
			n := &in.notes[len(in.notes)-1]
			c.v.pitch(c.r, &w, n)
			if len(in.notes) > maxChord {
				in.notes = in.notes[:maxChord]
				c.r.problem(RuleSyntax, w.span, "A chord holds a thousand notes at most; the rest is left out.")
				continue
			}
			n.Marks, marks = marks, nil
		case syntax.Decoration, syntax.Shorthand, syntax.Quoted:
			marks = c.marks(marks)
		case syntax.Tie:
			if len(in.notes) > 0 {
				n := &in.notes[len(in.notes)-1]
				n.Span.End = c.span().End
				in.ties = append(in.ties, tieIn{len(in.notes) - 1, c.span()})
			}
			c.next()
		case syntax.Space:
			c.r.loose(c.span(), "A chord holds no blanks.", replace("Delete the blank", c.span(), ""))
			c.next()
		case syntax.SlurOpen, syntax.SlurClose:
			c.innerSlur(k)
		case syntax.Reserved, syntax.BeamMark:
			c.next()
		case endOfLine, syntax.LineEnd, syntax.Comment, syntax.Bar, syntax.FieldName, syntax.ChordOpen,
			syntax.Ending, syntax.Overlay, syntax.Continuation, syntax.GraceOpen, syntax.BadField:
			c.r.problem(RuleUnclosed, open, "This chord is never closed: put `]` after its last note.")
			return in
		default:
			c.r.problem(RuleSyntax, c.span(), "`"+shorten(string(c.word()))+"` has no place inside a chord.")
			c.next()
		}
	}
}

// innerSlur reads a slur that starts or ends inside a chord or a grace group.
func (c *cursor) innerSlur(k syntax.Kind) {
	span := c.span()
	c.next()
	if k == syntax.SlurOpen {
		c.v.openSlur(span)
	} else {
		c.v.closeSlur(span)
	}
}

// oldChord reads +CEG+ of the oldest files.
func (c *cursor) oldChord(open Span) {
	from := c.at - 1
	c.r.loose(open, "`+` around a chord is outdated: write `[ ]`.")
	in := c.chordInside(syntax.OldChord, open)
	c.placeChord(in, c.outer(), c.src.span(from, c.at), false)
}

// rest reads z, x, Z, X and y with their lengths.
func (c *cursor) rest() {
	k, from, word := c.kind(), c.at, c.word()[0]
	c.next()
	v := c.v
	switch k {
	case syntax.MeasureRest:
		n := c.measures()
		v.measureRest(c.r, n, word == 'X', c.src.span(from, c.at))
	case syntax.Spacer:
		if c.skip(syntax.Length) {
			c.next()
		}
		e := Event{Kind: Spacer, Span: v.rel(c.src.span(from, c.at)), Onset: v.pos, Layer: v.layer, Duration: Zero}
		v.attach(&e)
		if c.r.sink == nil {
			v.events = append(v.events, e)
		}
	default:
		length := c.outer()
		v.restTies(c.r, word == 'x')
		e := v.next(c.r, Rest, c.src.span(from, c.at))
		e.Hidden = word == 'x'
		v.place(c.r, e, length)
	}
}

// measures reads how many measures a Z rests.
func (c *cursor) measures() int {
	if !c.skip(syntax.Length) {
		return 1
	}
	word := string(c.word())
	span := c.span()
	c.next()
	n, ok := smallInt(word)
	switch {
	case strings.Contains(word, "/") || !ok:
		c.r.problem(RuleSyntax, span, "`Z"+shorten(word)+"` does not say how many measures to rest: write a whole number from 1 to 4096.")
		n = 1
	case c.r.rests+n > c.r.maxRest:
		c.r.problem(RuleSyntax, span, "These rests make more bars than a tune can hold; they are read as one bar.")
		n = 1
	}
	c.r.rests += n
	return n
}

// grace reads {…}: notes that take no time of the bar.
func (c *cursor) grace() {
	open := c.span()
	c.next()
	v := c.v
	first := len(v.graces)
	broken := Frac{}
	var marks []Mark
	for {
		from := c.at
		switch k := c.kind(); k {
		case syntax.GraceClose:
			c.next()
			return
		case syntax.Accidental, syntax.Pitch:
			w, ok := c.written()
			if !ok {
				continue
			}
			notes := make([]Note, 1)
			v.pitch(c.r, &w, &notes[0])
			if c.r.sink != nil {
				continue
			}
			v.addGrace(Event{Kind: Sound, Span: w.span, Notes: notes, Marks: marks, Expanded: w.expanded}, w.length, &broken)
			marks = nil
		case syntax.ChordOpen:
			c.next()
			in := c.chordInside(syntax.ChordClose, c.src.span(from, from+1))
			outer := c.outer()
			if len(in.notes) > 0 && c.r.sink == nil {
				for i := range in.notes {
					in.notes[i].Duration = in.notes[i].Duration.Mul(outer)
				}
				v.addGrace(Event{Kind: Sound, Chord: true, Span: c.src.span(from, c.at), Notes: slices.Clone(in.notes), Marks: marks}, in.notes[0].Duration, &broken)
				marks = nil
			}
		case syntax.Broken:
			if n := len(v.graces); n > first {
				broken = breakGrace(&v.graces[n-1], string(c.word()))
			}
			c.next()
		case syntax.Rest, syntax.Spacer:
			c.next()
			c.outer()
		case endOfLine, syntax.LineEnd, syntax.Comment, syntax.Bar, syntax.FieldName, syntax.GraceOpen,
			syntax.Continuation:
			c.r.problem(RuleUnclosed, open, "This grace group is never closed: put `}` after its last note.")
			return
		case syntax.SlurOpen, syntax.SlurClose:
			c.innerSlur(k)
		case syntax.Decoration, syntax.Shorthand, syntax.Quoted:
			marks = c.marks(marks)
		case syntax.Space, syntax.Reserved, syntax.BeamMark, syntax.Tie, syntax.Tuplet:
			c.next()
		default:
			c.r.problem(RuleSyntax, c.span(), "`"+shorten(string(c.word()))+"` has no place among grace notes.")
			c.next()
		}
	}
}

func (v *voice) addGrace(e Event, length Frac, broken *Frac) {
	scale := v.unit
	if broken.Valid() {
		scale = scale.Mul(*broken)
		*broken = Frac{}
	}
	e.Duration = scale.Mul(length)
	for i := range e.Notes {
		n := &e.Notes[i]
		n.Duration = scale.Mul(n.Duration)
		n.Joined = n.Duration
	}
	v.graces = append(v.graces, e)
}

// breakGrace dots a grace note and gives the factor of the next.
func breakGrace(e *Event, text string) Frac {
	short := F(1, int64(1)<<len(text))
	long := F(2, 1).Sub(short)
	if text[0] == '<' {
		short, long = long, short
	}
	e.Duration = e.Duration.Mul(long)
	for i := range e.Notes {
		e.Notes[i].Duration = e.Notes[i].Duration.Mul(long)
	}
	return short
}
