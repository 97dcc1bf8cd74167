package score

// unpacker reads a packed bar. What it reads was written by a packer: it is not
// checked.
type unpacker struct {
	text string
	at   int
	key  *Key
	running

	notes  []Note  // room for what is to come
	marks  []Mark  // likewise
	graces []Event // likewise
}

func unpack(text string, key *Key) *body {
	u := unpacker{text: text, key: key, running: startOfBar()}
	b := &body{}
	b.open, b.close = u.spans()
	events, notes, marks, graces := u.uint(), u.uint(), u.uint(), u.uint()
	if notes > 0 {
		u.notes = make([]Note, notes)
	}
	if marks > 0 {
		u.marks = make([]Mark, marks)
	}
	if graces > 0 {
		u.graces = make([]Event, graces)
	}
	if events > 0 {
		b.events = make([]Event, events)
		for i := range b.events {
			u.event(&b.events[i])
		}
	}
	return b
}

func (u *unpacker) byte() byte {
	b := u.text[u.at]
	u.at++
	return b
}

func (u *unpacker) uint() int {
	b := u.byte()
	if b < 0x80 {
		return int(b)
	}
	x := uint64(b & 0x7f)
	for shift := 7; ; shift += 7 {
		b = u.byte()
		x |= uint64(b&0x7f) << shift
		if b < 0x80 {
			return int(x)
		}
	}
}

func (u *unpacker) int() int {
	x := uint(u.uint())
	return int(x>>1) ^ -int(x&1)
}

func (u *unpacker) frac() Frac {
	num := u.int()
	return Frac{int64(num), int64(u.int())}
}

func (u *unpacker) span(from int) Span {
	from += u.int()
	return Span{from, from + u.int()}
}

// spans reads those of the bar lines.
func (u *unpacker) spans() (open, closing Span) {
	open = u.span(0)
	return open, u.span(0)
}

// take cuts the first elements off a slice.
func take[T any](from *[]T, n int) []T {
	s := (*from)[:n:n]
	*from = (*from)[n:]
	return s
}

func (u *unpacker) event(e *Event) {
	first := u.byte()
	e.Kind = EventKind(first & 3)
	e.Layer = u.layer
	onset := u.onset
	if first&more != 0 {
		u.extra(e)
		if e.Layer != u.layer {
			onset = Zero
		}
	}
	e.Tuplet, e.Staff = u.tuplet, u.staff
	n := usualNotes(e.Kind)
	if first&oddNotes != 0 {
		n = u.uint()
		e.Chord = n&1 != 0
		n >>= 1
	}
	e.Duration, e.Onset = u.duration, onset
	if first&newDuration != 0 {
		e.Duration = u.frac()
	}
	if first&newOnset != 0 {
		e.Onset = u.frac()
	}
	gap := int(first >> gapShift & wideGap)
	if gap == wideGap {
		gap = u.int()
	}
	e.Span.Start = u.end + gap
	e.Span.End = e.Span.Start + u.int()
	u.after(e)
	if n > 0 {
		e.Notes = take(&u.notes, n)
		u.fill(e)
	}
	u.end = e.Span.End
}

func (u *unpacker) extra(e *Event) {
	second := u.byte()
	e.Hidden, e.Broken, e.Expanded = second&isHidden != 0, second&isBroken != 0, second&isExpanded != 0
	if second&newLayer != 0 {
		e.Layer = u.int()
	}
	if second&newGroup != 0 {
		u.tuplet = u.int()
		u.staff.To = u.int()
		u.staff.By = u.int()
	}
	if second&hasSlurs != 0 {
		e.SlurOpen = u.int()
		e.SlurClose = u.int()
	}
	if second&hasMarks != 0 {
		e.Marks = u.someMarks()
	}
	if second&hasGraces != 0 {
		e.Graces = take(&u.graces, u.uint())
		outer := u.running
		u.beginGraces()
		for i := range e.Graces {
			u.onset = Frac{}
			u.event(&e.Graces[i])
		}
		u.endGraces(&outer)
	}
}

func (u *unpacker) someMarks() []Mark {
	marks := take(&u.marks, u.uint())
	for i := range marks {
		m := &marks[i]
		m.Kind = MarkKind(u.byte())
		m.Place = u.byte()
		m.Span = u.span(u.end)
		n := u.uint()
		m.Text = u.text[u.at : u.at+n]
		u.at += n
		u.end = m.Span.End
	}
	return marks
}

// fill reads the notes of an event.
func (u *unpacker) fill(e *Event) {
	at := e.Span.Start
	if e.Chord {
		at++
	}
	for i := range e.Notes {
		n := &e.Notes[i]
		first := u.byte()
		n.Explicit, n.TieFrom, n.TieTo = first&isExplicit != 0, first&isTieFrom != 0, first&isTieTo != 0
		u.str += u.int()
		n.String = u.str
		octave, letter := floorDiv(u.str, 7)
		n.Alter = int(u.key.Sign[letter])
		if first&otherPitch != 0 {
			n.Alter = u.int()
			u.shift = u.int()
		}
		n.Midi = 12*(octave+1) + semitones[letter] + n.Alter + u.shift
		switch {
		case first&farSpans != 0:
			n.Span = u.span(e.Span.Start)
			n.Head = u.span(e.Span.Start)
		case !e.Chord:
			n.Span, n.Head = e.Span, Span{at, at + u.uint()}
		default:
			length := u.uint()
			n.Head = Span{at, at + length>>1}
			n.Span = n.Head
			if length&1 != 0 {
				n.Span.End = at + u.uint()
			}
		}
		n.Duration = e.Duration
		if first&ownDuration != 0 {
			n.Duration = u.frac()
		}
		n.Joined = n.Duration
		if first&longer != 0 {
			n.Joined = u.frac()
		}
		if first&markedNote != 0 {
			end := u.end
			u.end = n.Span.Start
			n.Marks = u.someMarks()
			u.end = end
		}
		at = n.Span.End
	}
}
