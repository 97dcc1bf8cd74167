package score

import (
	"math"
	"slices"
	"sort"
)

// A stretch is some bars of a tune, read as if they were all there is, so that an
// answer about them costs the same in a long tune as in a short one. Its bars keep
// their numbers.

// Number is the number of the bar at an index of Bars.
func (v *Voice) Number(index int) int { return v.Before + index + 1 }

// Bar gives the bar of a number; nil where the voice has none, or a stretch has
// left it out.
func (v *Voice) Bar(number int) *Bar {
	if i := number - 1 - v.Before; i >= 0 && i < v.list.n {
		return v.list.pointer(i, v.row)
	}
	return nil
}

// Bars is the number of the last bar of any voice.
func (t *Tune) Bars() int {
	last := 0
	for _, v := range t.Voices {
		last = max(last, v.Before+v.list.n)
	}
	return last
}

// Stretch gives the bars from one number to another, both included. They are not
// packed: the events and notes of its bars stay where they are. What it holds is shared
// with the tune, if that is not packed either. The tempo at its start is the one in force
// there; the problems of the notation, which belong to the whole, are left out.
func (t *Tune) Stretch(from, to int) *Tune {
	s := *t
	s.Problems, s.trail, s.id, s.edited = nil, nil, nil, nil
	s.after = max(t.after, t.Bars())
	s.Voices = make([]*Voice, len(t.Voices))
	for i, v := range t.Voices {
		lo := max(0, min(from-1-v.Before, v.list.n))
		hi := max(lo, min(to-v.Before, v.list.n))
		var list barList
		list.share(&v.list, lo, hi, 0)
		w := v.withBars(list)
		w.Before = max(v.Before, from-1)
		s.Voices[i] = w
	}
	s.unpack()
	s.Tempi = tempiFrom(t.Tempi, from)
	return &s
}

// Unpacked gives the tune with bars whose events and notes stay where they are: itself
// where it is short enough. It needs some hundred times the memory of the text.
func (t *Tune) Unpacked() *Tune {
	if !t.long {
		return t
	}
	s := *t
	s.trail, s.id, s.edited = nil, nil, nil
	s.Voices = make([]*Voice, len(t.Voices))
	for i, v := range t.Voices {
		w := *v
		s.Voices[i] = &w
	}
	s.unpack()
	return &s
}

// unpack gives the voices of a copy bars of its own that are not packed.
func (t *Tune) unpack() {
	if !t.long {
		return
	}
	t.long = false
	for _, v := range t.Voices {
		bars := make([]Bar, v.list.n)
		for i := range bars {
			b := v.list.at(i)
			bars[i] = Bar{b.Start, b.unpacked()}
		}
		v.list, v.row = listOf(bars), &flatBars{}
	}
}

// TempiFrom are the tempi of the tune from a bar on; the first is the one in force where
// that bar starts.
func (t *Tune) TempiFrom(bar int) []Tempo { return tempiFrom(t.Tempi, bar) }

// tempiFrom moves the tempo that is in force where a bar starts to that place, and
// leaves those before it out.
func tempiFrom(tempi []Tempo, bar int) (out []Tempo) {
	inForce := -1
	for i, q := range tempi {
		switch {
		case q.Bar >= bar:
			out = append(out, q)
		case q.PerMinute > 0 && (inForce < 0 || !q.before(&tempi[inForce])):
			inForce = i
		}
	}
	if inForce < 0 {
		return out
	}
	q := tempi[inForce]
	q.Bar, q.Onset = bar, Zero
	return append([]Tempo{q}, out...)
}

func (q *Tempo) before(o *Tempo) bool {
	return q.Bar < o.Bar || q.Bar == o.Bar && q.Onset.Less(o.Onset)
}

// IsStretch says whether the tune is some bars of a longer one.
func (t *Tune) IsStretch() bool { return t.after > 0 }

// Changed compares a tune with what it was before an edit that moved what follows
// it by some bytes. It gives the bars, by number in the new tune, outside of which
// both are the same; from is larger than to where nothing has changed. It is false
// where the two cannot be compared bar by bar: other voices, staves, tempi or
// settings, or bars that came or went elsewhere than at the end.
func Changed(old, now *Tune, moved int) (from, to int, ok bool) {
	if old == now {
		return math.MaxInt, 0, true
	}
	if len(old.Voices) != len(now.Voices) || old.Number != now.Number || old.Title != now.Title ||
		!slices.EqualFunc(old.Staves, now.Staves, sameStaff) || !slices.EqualFunc(old.Tempi, now.Tempi, sameTempo) ||
		!slices.EqualFunc(old.Settings, now.Settings, func(a, b Setting) bool { return a.Text == b.Text }) {
		return 0, 0, false
	}
	from, to = math.MaxInt, 0
	for i, v := range now.Voices {
		was := old.Voices[i]
		if v.ID != was.ID || v.Name != was.Name || v.Subname != was.Subname || v.Cue != was.Cue {
			return 0, 0, false
		}
		head, tail := now.alike(old, i, moved)
		if head == v.list.n && head == was.list.n {
			continue
		}
		if v.list.n != was.list.n && tail > 0 {
			return 0, 0, false
		}
		from, to = min(from, head+1), max(to, v.list.n-tail)
	}
	return from, to, true
}

func sameStaff(a, b Staff) bool { return a.Brace == b.Brace && slices.Equal(a.Voices, b.Voices) }

func sameTempo(a, b Tempo) bool {
	return a.Bar == b.Bar && a.Onset == b.Onset && a.Beat == b.Beat && a.PerMinute == b.PerMinute
}

// alike counts the bars that a voice shares with what it was before, at its beginning and
// its end. What an Update has noted saves most of the work.
func (t *Tune) alike(old *Tune, voice, moved int) (head, tail int) {
	was, is := &old.Voices[voice].list, &t.Voices[voice].list
	if e := t.edited; e != nil && e.of == old.id && e.bytes == moved {
		head, tail = e.bars[voice].from, is.n-e.bars[voice].to
		if moved == 0 && head+tail == is.n && was.n == is.n {
			return is.n, 0 // nothing in this voice
		}
	}
	most := min(was.n, is.n)
	for head < most {
		a, b := was.at(head), is.at(head)
		if a.Start != b.Start || !sameBar(&a, &b) {
			break
		}
		head++
	}
	tail = min(tail, most-head) // music that repeats itself can be alike from both ends
	for tail < most-head {
		a, b := was.at(was.n-1-tail), is.at(is.n-1-tail)
		if a.Start+moved != b.Start || !sameBar(&a, &b) {
			break
		}
		tail++
	}
	return head, tail
}

// sameBar says whether two bars hold the same music.
func sameBar(a, b *Bar) bool {
	if a.Content == b.Content || a.packed != "" && a.packed == b.packed && a.Frame == b.Frame {
		return true
	}
	if a.Length != b.Length || a.Key.Sign != b.Key.Sign || a.Meter.Length != b.Meter.Length || a.Meter.Beat != b.Meter.Beat ||
		a.Opening != b.Opening || a.Closing != b.Closing || a.Ending != b.Ending || a.Part != b.Part {
		return false
	}
	return slices.EqualFunc(a.Events(), b.Events(), sameEvent)
}

func sameEvent(a, b Event) bool {
	return a.Kind == b.Kind && a.Chord == b.Chord && a.Layer == b.Layer && a.Onset == b.Onset && a.Duration == b.Duration &&
		a.Span == b.Span && a.Expanded == b.Expanded && a.Staff == b.Staff && slices.EqualFunc(a.Notes, b.Notes, sameNote) &&
		slices.EqualFunc(a.Graces, b.Graces, sameEvent) && slices.Equal(a.Marks, b.Marks)
}

func sameNote(a, b Note) bool {
	return a.Span == b.Span && a.String == b.String && a.Alter == b.Alter && a.Duration == b.Duration && a.Joined == b.Joined &&
		a.TieFrom == b.TieFrom && a.TieTo == b.TieTo && slices.Equal(a.Marks, b.Marks)
}

// BarAt is the number of the bar that holds a byte of the file: of those that start
// before it, in all voices, the one that starts last. False where there is none.
func (t *Tune) BarAt(offset int) (number int, ok bool) {
	start := -1
	for _, v := range t.Voices {
		i := sort.Search(v.list.n, func(i int) bool { return v.list.start(i) > offset }) - 1
		if i >= 0 && v.list.start(i) > start {
			start, number, ok = v.list.start(i), v.Number(i), true
		}
	}
	return number, ok
}
