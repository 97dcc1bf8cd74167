package score

// A stretch is some bars of a tune, read as if they were all there is, so that an
// answer about them costs the same in a long tune as in a short one. Its bars keep
// their numbers.

// Number is the number of the bar at an index of Bars.
func (v *Voice) Number(index int) int { return v.Before + index + 1 }

// Bar gives the bar of a number; nil where the voice has none, or a stretch has
// left it out.
func (v *Voice) Bar(number int) *Bar {
	if i := number - 1 - v.Before; i >= 0 && i < len(v.Bars) {
		return &v.Bars[i]
	}
	return nil
}

// Bars is the number of the last bar of any voice.
func (t *Tune) Bars() int {
	last := 0
	for _, v := range t.Voices {
		last = max(last, v.Before+len(v.Bars))
	}
	return last
}

// Stretch gives the bars from one number to another, both included. What it holds
// is shared with the tune. The tempo at its start is the one in force there; the
// problems of the notation, which belong to the whole, are left out.
func (t *Tune) Stretch(from, to int) *Tune {
	s := *t
	s.Problems, s.trail = nil, nil
	s.after = max(t.after, t.Bars())
	s.Voices = make([]*Voice, len(t.Voices))
	for i, v := range t.Voices {
		w := *v
		lo := max(0, min(from-1-v.Before, len(v.Bars)))
		hi := max(lo, min(to-v.Before, len(v.Bars)))
		w.Bars, w.Before = v.Bars[lo:hi:hi], max(v.Before, from-1)
		s.Voices[i] = &w
	}
	s.Tempi = tempiFrom(t.Tempi, from)
	return &s
}

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
