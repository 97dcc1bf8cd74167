package rules

import (
	"cmp"
	"slices"

	"fourfold/analysis/feet"
)

// Around is what lies beyond a section, as far as it asks: where the pedals or levers
// were last needed before it and are next needed after it. Times are seconds from the
// start of the section, below 0, and from its end.
type Around struct {
	before, after []use    // in order of time
	tuned         []use    // first notes before it on the strings without discs
	seams         []seam   // that it is to look at
	across        []int    // bars of it from which longer ones lead away
	marked        bool     // another section has pedal marks
	full          bool     // one before it gives a full setting
	dynamic       string   // in force at its start
	unreached     []string // keys that an earlier section says are out of the levers' reach
}

// Equal says whether a section finds the same with either.
func (a Around) Equal(o Around) bool {
	return slices.Equal(a.before, o.before) && slices.Equal(a.after, o.after) && slices.Equal(a.tuned, o.tuned) && slices.Equal(a.seams, o.seams) &&
		slices.Equal(a.across, o.across) && a.marked == o.marked && a.full == o.full && a.dynamic == o.dynamic && slices.Equal(a.unreached, o.unreached)
}

// furthest is as far as the times of notes beyond a section are told, in seconds: a foot
// that has longer has all the time there is.
const furthest = 60.0

// aroundsOf says what lies around each section.
func aroundsOf(secs []Section, ends []Ends) []Around {
	all := make([]Around, len(secs))
	var asked, tuned useSet
	var unreached []string
	dynamic, full := "", false
	for i := range secs {
		e := &ends[i]
		all[i].before = asked.inTime()
		// What a section does not ask is left out, so that it need not be read again for it.
		if len(e.tuned) > 0 {
			all[i].tuned = tuned.inTime()
		}
		if e.whispers {
			all[i].dynamic = dynamic
		}
		if len(e.unreached) > 0 {
			all[i].unreached = slices.Clip(unreached)
		}
		all[i].full = full && len(all[i].before) == 0
		for _, u := range e.last {
			u.marked = false
			asked.put(u)
		}
		asked.each(func(u *use) { u.t = max(u.t-e.length, -furthest) })
		for _, u := range e.tuned {
			if u.t = 0; !tuned.known[u.of] {
				tuned.put(u)
			}
		}
		for _, key := range e.unreached {
			if !slices.Contains(unreached, key) {
				unreached = append(unreached, key)
			}
		}
		if e.dynamic != "" {
			dynamic = e.dynamic
		}
		full = full || e.full
	}
	asked = useSet{}
	var marks []int // sections with pedal marks
	for i := len(secs) - 1; i >= 0; i-- {
		all[i].after = asked.inTime()
		e := &ends[i]
		asked.each(func(u *use) {
			u.t = min(u.t+e.length, furthest)
			u.marked = u.marked || u.of < feet.Letters && e.named[u.of]
		})
		for _, u := range e.first {
			asked.put(u)
		}
		if e.marked {
			marks = append(marks, i)
		}
	}
	for i := range all {
		// Only who has the first note asks whether there are marks anywhere.
		all[i].marked = len(all[i].before) == 0 && slices.ContainsFunc(marks, func(m int) bool { return m != i })
	}
	eachSeam(secs, ends, func(k int, w seam) {
		if secs[k].holdsWay(w) {
			all[k].seams = append(all[k].seams, w)
		} else {
			all[k].across = append(all[k].across, w.from)
		}
	})
	return all
}

// useSet is a use for each letter or string, where it is known.
type useSet struct {
	known [mostOf]bool
	uses  [mostOf]use
}

func (s *useSet) put(u use) { s.known[u.of], s.uses[u.of] = true, u }

func (s *useSet) each(visit func(u *use)) {
	for of := range s.uses {
		if s.known[of] {
			visit(&s.uses[of])
		}
	}
}

// inTime lists the uses in order of time.
func (s *useSet) inTime() (out []use) {
	s.each(func(u *use) { out = append(out, *u) })
	slices.SortStableFunc(out, func(a, b use) int { return cmp.Compare(a.t, b.t) })
	return out
}

// seamBars is how many bars beyond a section a way back may reach that the section looks
// at by itself.
const seamBars = 8

// holdsWay says whether a section sees both ends of a seam and what lies between.
func (s Section) holdsWay(w seam) bool {
	first := min(w.from, w.to)
	if w.again > 0 {
		first = min(first, w.again)
	}
	return s.From <= w.from && w.from <= s.To && first >= s.From-seamBars && w.to <= s.To+seamBars
}

// eachSeam visits the seams of a tune with the section that each leads away from, in
// order of the bars before them.
func eachSeam(secs []Section, ends []Ends, visit func(k int, w seam)) {
	var signs []barSign
	for i := range ends {
		signs = append(signs, ends[i].signs...)
	}
	ways := seamsAt(signs)
	slices.SortStableFunc(ways, func(a, b seam) int { return cmp.Compare(a.from, b.from) })
	k := 0
	for _, w := range ways {
		for k+1 < len(secs) && w.from > secs[k].To {
			k++
		}
		visit(k, w)
	}
}
