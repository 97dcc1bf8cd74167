package score

// voice is a voice while it is being read: where it is in its bar, and what is
// still open.
type voice struct {
	out   *Voice
	index int // in the tune
	unit  Frac
	meter Meter
	key   Key
	shift shift
	staff StaffMove

	number  int     // of the bar in work, from 1
	bar     work    // the bar in work
	events  []Event // its events so far
	started bool    // bar.start is known
	pos     Frac    // in the bar, in this layer
	longest Frac    // of the layers that are done
	layer   int
	open    BarLine // what opens the bar; its span counts from the file
	acc     []accidental
	before  uint8 // letters that bore an accidental in the bar before, a bit each
	last    int   // index of this layer's last event with time, -1 before it

	back  int // bars that an overlay still has to go until the bar in work
	saved *savedBar

	broken     Frac // factor that > or < left for the next event; not valid: none
	brokenSpan Span
	tuplet     tuplet
	tuplets    int // in this bar
	ties       []openTie
	links      []tieLink
	visits     int       // how many earlier bars `&&` went back to, for a sink
	slurs      []slurEnd // ( without their )
	slurCloses []slurEnd // ) without their (

	marks    []Mark  // for the next event; spans count from the file
	graces   []Event // likewise
	slurOpen int

	part, ending string
	undeclared   Span // the V: that used it without declaration
	words        wordPlace
	symbols      wordPlace

	shared      int          // so many bars share what they hold with an older score
	low         int          // so many of those are still as they were; the ones after have been changed, if any
	loose       map[int]bool // bars that are this reading's own and may be changed: of those shared, and in a long tune
	body        body         // room for what is packed
	room, notes []Note       // room for the notes of the bar in work, and what of it is free, in a long tune
}

// timed says whether the bar in work holds time.
func (v *voice) timed() bool {
	return v.pos.Num > 0 || v.longest.Num > 0 || v.layer > 0
}

func (v *voice) setMeter(m Meter) {
	v.meter = m
	if !v.timed() && v.back == 0 {
		v.bar.Meter = m
	}
}

// setKey changes the signature. In the middle of a bar it ends what accidentals
// have set: the standard is silent, and a new signature is read afresh.
func (v *voice) setKey(k Key) {
	v.key = k
	v.acc = v.acc[:0]
	if !v.timed() && v.back == 0 {
		v.bar.Key = k
	}
}

// touch fixes where the bar starts: at the bar line that opens it where that
// stands on the same line, else at the first thing in it.
func (v *voice) touch(lineStart, offset int) {
	if v.started {
		return
	}
	v.started = true
	v.bar.start = offset
	if v.open.Text != "" && v.open.Span.Start >= lineStart && v.open.Span.Start < offset {
		v.bar.start = v.open.Span.Start
	}
}

// rel gives a span of the file as one of the bar in work.
func (v *voice) rel(s Span) Span { return s.Shift(-v.bar.start) }

// next makes room for an event that is placed then.
func (v *voice) next(r *reader, kind EventKind, span Span) *Event {
	if r.sink != nil && len(v.events) > sinkEvents {
		v.flush(r, 1)
	}
	v.events = append(v.events, Event{})
	e := &v.events[len(v.events)-1]
	e.Kind, e.Span = kind, v.rel(span)
	return e
}

// place puts the event that room was made for last, with its notes, into the bar: each as
// long as a length times the unit.
func (v *voice) place(r *reader, e *Event, length Frac) {
	scale := v.unit
	if v.tuplet.left > 0 || v.broken.Valid() {
		scale = scale.Mul(v.stretch(e))
	}
	e.Duration = scale.Mul(length)
	if !e.Duration.Valid() {
		r.problem(RuleSyntax, e.Span.Shift(v.bar.start), "This length cannot be counted: it is too long or too fine. It is read as one unit note length.")
		e.Duration = v.unit
	}
	for i := range e.Notes {
		e.Notes[i].Duration = e.Duration
	}
	v.put(e)
}

// stretch is what a tuplet and a broken rhythm do to the length of the next event.
func (v *voice) stretch(e *Event) Frac {
	factor := v.factor()
	e.Broken = v.broken.Valid()
	if v.broken.Valid() {
		factor = factor.Mul(v.broken)
		v.broken = Frac{}
	}
	if v.tuplet.left > 0 {
		e.Tuplet = v.tuplet.id
		v.count()
	}
	return factor
}

// put places an event whose duration is known and moves the time on.
func (v *voice) put(e *Event) {
	e.Onset, e.Layer, e.Staff = v.pos, v.layer, v.staff
	if len(v.marks)+len(v.graces)+v.slurOpen > 0 {
		v.attach(e)
	}
	v.last = len(v.events) - 1
	v.pos = sum(v.pos, e.Duration)
}

// attach gives an event the marks, graces and slurs that wait for it.
func (v *voice) attach(e *Event) {
	for i := range v.marks {
		v.marks[i].Span = v.rel(v.marks[i].Span)
	}
	if len(v.marks) > 0 {
		e.Marks = append(e.Marks, v.marks...)
	}
	for i := range v.graces {
		v.relGrace(&v.graces[i])
	}
	if len(v.graces) > 0 {
		e.Graces = append(e.Graces, v.graces...)
	}
	e.SlurOpen += v.slurOpen
	v.marks, v.graces, v.slurOpen = v.marks[:0], v.graces[:0], 0
}

func (v *voice) relGrace(e *Event) {
	e.Span = v.rel(e.Span)
	for i := range e.Notes {
		n := &e.Notes[i]
		n.Span, n.Head = v.rel(n.Span), v.rel(n.Head)
		for j := range n.Marks {
			n.Marks[j].Span = v.rel(n.Marks[j].Span)
		}
	}
	for i := range e.Marks {
		e.Marks[i].Span = v.rel(e.Marks[i].Span)
	}
}

// sum adds two times. Where the exact sum leaves the range of 64 bits, the
// nearest millionth of a whole note stands for it, so that one absurd length
// never wraps or stops what follows.
func sum(a, b Frac) Frac {
	if s := a.Add(b); s.Valid() {
		return s
	}
	return nearest(a.Float() + b.Float())
}

const fine = 1_000_000

func nearest(x float64) Frac {
	const most = 1e12
	x = max(-most, min(most, x))
	return F(int64(x*fine), fine)
}
