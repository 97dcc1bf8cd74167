package score

// savedBar is the bar in work while an overlay of several bars is before it.
type savedBar struct {
	number  int
	bar     Bar
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
	v.bar.Close = BarLine{Text: text, Span: v.rel(span), Marks: v.takeMarks()}
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
	if n := len(v.out.Bars); n > 0 && len(text) > 0 && text[0] == ':' && v.ending == "" {
		if last := &v.out.Bars[n-1]; last.Close.Text != "" && last.Close.Text[0] != ':' {
			v.changes(r, n)
			last.Close.Text = text
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
	v.bar.Open = BarLine{Text: v.open.Text, Span: v.rel(v.open.Span)}
	if v.open.Text == "" {
		v.bar.Open.Span = Span{}
	}
	v.bar.Ending, v.bar.Part = v.ending, v.part
	v.ending, v.part = "", ""
	v.deliver(r)
	v.number++
	v.dropLateTies(r)
	v.before = v.accidentals()
	v.bar = Bar{Content: &Content{Meter: v.meter, Key: v.key}}
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
	v.bar.events = cloned(v.events)
	if v.number <= len(v.out.Bars) {
		v.changes(r, v.number)
		v.out.Bars[v.number-1] = v.bar
	} else {
		v.out.Bars = append(v.out.Bars, v.bar)
	}
	v.joinTies(r)
}

// joinTies adds tied notes up as far as both are stored. Those of a bar that `&&`
// has put aside wait until it is.
func (v *voice) joinTies(r *reader) {
	waiting := v.links[:0]
	for _, l := range v.links {
		if v.note(l.head) == nil || v.note(l.note) == nil {
			waiting = append(waiting, l)
			continue
		}
		v.changes(r, l.head.bar) // may copy the bar, so its note is found after
		head, tied := v.note(l.head), v.note(l.note)
		head.Joined = sum(head.Joined, tied.Duration)
	}
	v.links = waiting
}

// note finds a note of a bar that has been stored; nil where it has not.
func (v *voice) note(at noteRef) *Note {
	if at.bar < 1 || at.bar > len(v.out.Bars) {
		return nil
	}
	return &v.out.Bars[at.bar-1].events[at.event].Notes[at.note]
}

// measureRest makes n bars of silence.
func (v *voice) measureRest(r *reader, n int, e Event) {
	length := v.meter.Length
	if length.Sign() <= 0 {
		length = F(1, 1)
	}
	e.Duration = length
	file := e.Span
	for i := range n {
		if i > 0 {
			v.nextBar(r)
			v.touch(r.file.Start(r.line), file.Start)
		}
		e.Span = v.rel(file)
		v.restTies(r, e.Hidden)
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
