package score

import "encoding/binary"

// A packed bar is a row of numbers, small ones in one byte each, that say what differs
// from what is to be expected: that an event begins where the one before ends, lasts as
// long, and has a note in the key. First come the spans of the bar lines and how much
// there is to unpack.

// packer packs one bar.
type packer struct {
	b   []byte
	key *Key
	running
	total counts
}

// counts is how much a bar holds in all, graces included.
type counts struct{ notes, marks, graces int }

// running is what the next event is compared with.
type running struct {
	end      int // of the span before
	duration Frac
	onset    Frac // where the next event begins
	layer    int
	tuplet   int
	staff    StaffMove
	str      int // of the note before
	shift    int // of the key that sounds, against the one that is written
}

func startOfBar() running { return running{onset: Zero, str: 28} }

// The first byte of an event: its kind in the lowest two bits.
const (
	oddNotes    = 1 << 2 // a chord, or another number of notes than its kind has
	newDuration = 1 << 3
	newOnset    = 1 << 4
	gapShift    = 5 // two bits: bytes from the span before; wideGap for any other number
	wideGap     = 3
	more        = 1 << 7 // a second byte follows
)

// The second byte.
const (
	isHidden = 1 << iota
	isBroken
	isExpanded
	newLayer
	hasMarks
	hasGraces
	hasSlurs
	newGroup // tuplet or staff
)

// The first byte of a note.
const (
	isExplicit = 1 << iota
	isTieFrom
	isTieTo
	markedNote
	ownDuration
	longer     // joined with others
	farSpans   // written otherwise than notes are
	otherPitch // altered against the key
)

func (p *packer) uint(n int)  { p.b = binary.AppendUvarint(p.b, uint64(n)) }
func (p *packer) int(n int)   { p.b = binary.AppendVarint(p.b, int64(n)) }
func (p *packer) frac(f Frac) { p.b = binary.AppendVarint(binary.AppendVarint(p.b, f.Num), f.Den) }

// span packs a span against another place.
func (p *packer) span(s Span, from int) {
	p.int(s.Start - from)
	p.int(s.End - s.Start)
}

func (p *packer) content(c *body, key *Key) {
	p.b, p.key, p.running, p.total = p.b[:0], key, startOfBar(), counts{}
	p.span(c.open, 0)
	p.span(c.close, 0)
	count(c.events, &p.total)
	p.uint(len(c.events))
	p.uint(p.total.notes)
	p.uint(p.total.marks)
	p.uint(p.total.graces)
	for i := range c.events {
		p.event(&c.events[i])
	}
}

func count(events []Event, total *counts) {
	for i := range events {
		e := &events[i]
		total.notes += len(e.Notes)
		total.marks += len(e.Marks)
		for k := range e.Notes {
			total.marks += len(e.Notes[k].Marks)
		}
		if len(e.Graces) > 0 {
			total.graces += len(e.Graces)
			count(e.Graces, total)
		}
	}
}

// usualNotes is how many notes an event has that is no chord.
func usualNotes(k EventKind) int {
	if k == Sound {
		return 1
	}
	return 0
}

func flag(on bool, bit byte) byte {
	if on {
		return bit
	}
	return 0
}

func (p *packer) event(e *Event) {
	onset := p.onset
	if e.Layer != p.layer {
		onset = Zero
	}
	group := e.Tuplet != p.tuplet || e.Staff != p.staff
	second := flag(e.Hidden, isHidden) | flag(e.Broken, isBroken) | flag(e.Expanded, isExpanded) | flag(e.Layer != p.layer, newLayer) |
		flag(len(e.Marks) > 0, hasMarks) | flag(len(e.Graces) > 0, hasGraces) | flag(e.SlurOpen != 0 || e.SlurClose != 0, hasSlurs) | flag(group, newGroup)
	odd := e.Chord || len(e.Notes) != usualNotes(e.Kind)
	at := len(p.b)
	p.b = append(p.b, byte(e.Kind)|flag(odd, oddNotes)|flag(e.Duration != p.duration, newDuration)|flag(e.Onset != onset, newOnset)|flag(second != 0, more))
	if second != 0 {
		p.b = append(p.b, second)
		p.extra(e, second)
	}
	if odd {
		p.uint(len(e.Notes)<<1 | int(flag(e.Chord, 1)))
	}
	if e.Duration != p.duration {
		p.frac(e.Duration)
	}
	if e.Onset != onset {
		p.frac(e.Onset)
	}
	if gap := e.Span.Start - p.end; gap >= 0 && gap < wideGap {
		p.b[at] |= byte(gap) << gapShift
	} else {
		p.b[at] |= wideGap << gapShift
		p.int(gap)
	}
	p.int(e.Span.End - e.Span.Start)
	p.after(e)
	p.notes(e)
	p.end = e.Span.End
}

// after sets what is to be expected after an event.
func (r *running) after(e *Event) {
	r.duration, r.layer, r.onset = e.Duration, e.Layer, sum(e.Onset, e.Duration)
}

// extra packs what few events have.
func (p *packer) extra(e *Event, second byte) {
	if second&newLayer != 0 {
		p.int(e.Layer)
	}
	if second&newGroup != 0 {
		p.tuplet, p.staff = e.Tuplet, e.Staff
		p.int(e.Tuplet)
		p.int(e.Staff.To)
		p.int(e.Staff.By)
	}
	if second&hasSlurs != 0 {
		p.int(e.SlurOpen)
		p.int(e.SlurClose)
	}
	if second&hasMarks != 0 {
		p.marks(e.Marks)
	}
	if second&hasGraces != 0 {
		p.uint(len(e.Graces))
		outer := p.running
		p.running.beginGraces()
		for i := range e.Graces {
			p.onset = Frac{}
			p.event(&e.Graces[i])
		}
		p.running.endGraces(&outer)
	}
}

// beginGraces sets what is to be expected of graces: they take no time of the bar.
func (r *running) beginGraces() {
	r.layer, r.tuplet, r.staff, r.duration = 0, 0, StaffMove{}, Frac{}
}

// endGraces goes back to the music around graces; the place in the text goes on.
func (r *running) endGraces(outer *running) {
	end, str, shift := r.end, r.str, r.shift
	*r = *outer
	r.end, r.str, r.shift = end, str, shift
}

func (p *packer) marks(marks []Mark) {
	p.uint(len(marks))
	for i := range marks {
		m := &marks[i]
		p.b = append(p.b, byte(m.Kind), m.Place)
		p.span(m.Span, p.end)
		p.uint(len(m.Text))
		p.b = append(p.b, m.Text...)
		p.end = m.Span.End
	}
}

func (p *packer) notes(e *Event) {
	at := e.Span.Start
	if e.Chord {
		at++
	}
	for i := range e.Notes {
		n := &e.Notes[i]
		natural := naturalKey(n.String)
		other := n.Alter != p.key.alter(n.String) || n.Midi != natural+n.Alter+p.shift
		far := n.Span.Start != at || n.Head.Start != at || n.Head.End < at || n.Span.End < at || !e.Chord && n.Span != e.Span
		first := flag(n.Explicit, isExplicit) | flag(n.TieFrom, isTieFrom) | flag(n.TieTo, isTieTo) | flag(len(n.Marks) > 0, markedNote) |
			flag(n.Duration != e.Duration, ownDuration) | flag(n.Joined != n.Duration, longer) | flag(far, farSpans) | flag(other, otherPitch)
		p.b = append(p.b, first)
		p.int(n.String - p.str)
		p.str = n.String
		if other {
			p.int(n.Alter)
			p.shift = n.Midi - natural - n.Alter
			p.int(p.shift)
		}
		switch {
		case far:
			p.span(n.Span, e.Span.Start)
			p.span(n.Head, e.Span.Start)
		case !e.Chord:
			p.uint(n.Head.End - at)
		case n.Span.End == n.Head.End:
			p.uint((n.Head.End - at) << 1)
		default:
			p.uint((n.Head.End-at)<<1 | 1)
			p.uint(n.Span.End - at)
		}
		if n.Duration != e.Duration {
			p.frac(n.Duration)
		}
		if n.Joined != n.Duration {
			p.frac(n.Joined)
		}
		if len(n.Marks) > 0 {
			end := p.end
			p.end = n.Span.Start
			p.marks(n.Marks)
			p.end = end
		}
		at = n.Span.End
	}
}

// naturalKey is the key that the natural note of a string sounds on.
func naturalKey(str int) int {
	octave, letter := floorDiv(str, 7)
	return 12*(octave+1) + semitones[letter]
}

// alter is what the signature does to a string.
func (k *Key) alter(str int) int {
	_, letter := floorDiv(str, 7)
	return int(k.Sign[letter])
}
