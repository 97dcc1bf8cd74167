package score

// savedBar is the bar in work while an overlay of several bars is before it.
type savedBar struct {
	number  int
	bar     work
	events  []Event
	started bool
	longest Frac
}

// barLine acts on a bar line: it closes the bar in work if that holds time.
func (v *voice) barLine(r *reader, text string, span Span) {
	v.endOfBar(r, span)
	if v.back > 0 {
		v.forward(r)
		return
	}
	if !v.timed() {
		v.emptyBar(r, text, span)
		return
	}
	v.bar.Closing, v.bar.close, v.bar.marks = text, v.rel(span), v.takeMarks()
	v.closeBar(r)
	v.open = BarLine{Text: text, Span: span}
}

// endOfBar reports what may not cross a bar line.
func (v *voice) endOfBar(r *reader, span Span) {
	if v.broken.Valid() {
		r.problem(RuleBroken, v.brokenSpan, "A `>` or `<` stands before the bar line with no note after it in the bar: write the two notes of the pair in one bar, or write their lengths out.")
		v.unbreak()
	}
	if v.tuplet.left > 0 && !v.tuplet.cut && v.timed() {
		v.tuplet.cut = true
		r.problem(RuleTuplet, v.tuplet.span, v.tuplet.cutMessage())
	}
}

// emptyBar takes a bar line that closes no time: it joins the one before it.
func (v *voice) emptyBar(r *reader, text string, span Span) {
	if n := v.out.list.n; n > 0 && len(text) > 0 && text[0] == ':' && v.ending == "" {
		if was := v.out.list.at(n - 1).Closing; was != "" && was[0] != ':' {
			c := v.change(r, n)
			frame := *c.Frame
			frame.Closing = text
			c.Frame = r.frame(&frame)
		}
	}
	v.open.Text, v.open.Span = text, span
	v.marks = v.marks[:0]
}

func (v *voice) takeMarks() []Mark {
	var marks []Mark
	for _, m := range v.marks {
		m.Span = v.rel(m.Span)
		marks = append(marks, m)
	}
	v.marks = v.marks[:0]
	return marks
}

// closeBar hands the bar in work over and starts the next.
func (v *voice) closeBar(r *reader) {
	v.bar.Length = v.longestLayer()
	v.bar.Opening, v.bar.open = v.open.Text, v.rel(v.open.Span)
	if v.open.Text == "" {
		v.bar.open = Span{}
	}
	v.bar.Ending, v.bar.Part = v.ending, v.part
	v.ending, v.part = "", ""
	v.deliver(r)
	v.notes = v.room
	v.number++
	v.dropLateTies(r)
	v.before = v.accidentals()
	v.bar = v.newBar()
	v.open = BarLine{}
	v.reset()
	v.longest, v.layer = Zero, 0
}

func (v *voice) longestLayer() Frac {
	if v.longest.Valid() && v.pos.Less(v.longest) {
		return v.longest
	}
	return v.pos
}

// reset goes to the start of a bar or of a layer of it.
func (v *voice) reset() {
	v.pos, v.last = Zero, -1
	v.acc = v.acc[:0]
	v.started = false
	v.tuplets = 0
	v.events = v.events[:0]
	if v.tuplet.left > 0 {
		v.tuplets = 1
		v.tuplet.id = 1
	}
}

// deliver joins ties and stores the bar, or hands it to the sink.
func (v *voice) deliver(r *reader) {
	if r.sink != nil {
		v.flush(r, 0)
		r.sink.barEnd(v, v.number, v.bar.Length)
		return
	}
	for i := range v.events {
		for j := range v.events[i].Notes {
			// A bar that `&&` went back to is stored again: its ties stay joined.
			if n := &v.events[i].Notes[j]; !n.Joined.Valid() {
				n.Joined = n.Duration
			}
		}
	}
	v.store(r)
	v.joinTies(r)
	if r.long && len(v.loose) > 0 && len(v.ties) == 0 && len(v.links) == 0 {
		v.tighten(r)
	}
}

// newBar is a bar before anything stands in it.
func (v *voice) newBar() work { return work{Frame: Frame{Meter: v.meter, Key: v.key}} }

// joinTies adds tied notes up as far as both are stored. Those of a bar that `&&`
// has put aside wait until it is.
func (v *voice) joinTies(r *reader) {
	waiting := v.links[:0]
	for _, l := range v.links {
		if l.head.bar > v.out.list.n || l.note.bar > v.out.list.n {
			waiting = append(waiting, l)
			continue
		}
		head := v.note(r, l.head)
		head.Joined = sum(head.Joined, v.out.list.at(l.note.bar - 1).Events()[l.note.event].Notes[l.note.note].Duration)
	}
	v.links = waiting
}

// note gives a note of a bar that has been stored, to be changed.
func (v *voice) note(r *reader, at noteRef) *Note {
	return &v.change(r, at.bar).body.events[at.event].Notes[at.note]
}

// measureRest makes n bars of silence.
func (v *voice) measureRest(r *reader, n int, hidden bool, file Span) {
	length := v.meter.Length
	if length.Sign() <= 0 {
		length = F(1, 1)
	}
	for i := range n {
		if i > 0 {
			v.nextBar(r)
			v.touch(r.file.Start(r.line), file.Start)
		}
		v.restTies(r, hidden)
		e := v.next(r, MeasureRest, file)
		e.Hidden, e.Duration = hidden, length
		v.put(e)
	}
}

// nextBar goes on to the bar after: a new one, or in an overlay of several bars the
// next of those it lies over.
func (v *voice) nextBar(r *reader) {
	if v.back > 0 {
		v.forward(r)
		return
	}
	v.closeBar(r)
}

// end closes the voice at the end of its tune.
func (v *voice) end(r *reader) {
	r.voice = v
	for v.back > 0 {
		v.forward(r)
	}
	v.endOfBar(r, Span{})
	if v.timed() {
		v.closeBar(r)
	}
	v.number = max(1, v.number-1)
	v.loseTies(r, func(openTie) bool { return true })
	if v.tuplet.left > 0 && !v.tuplet.cut {
		r.problem(RuleTuplet, v.tuplet.span, v.tuplet.shortMessage())
	}
}
