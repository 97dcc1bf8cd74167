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
	asked := map[int]use{}
	tuned := map[int]use{}
	var unreached []string
	dynamic, full := "", false
	for i := range secs {
		all[i] = Around{before: inOrderOf(asked), tuned: inOrderOf(tuned), dynamic: dynamic, full: full, unreached: slices.Clip(unreached)}
		byTimeOf(all[i].before)
		e := &ends[i]
		passOn(asked, e.last, -e.length)
		for _, u := range e.tuned {
			u.t = 0
			putFirst(tuned, u)
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
	clear(asked)
	var marks []int // sections with pedal marks
	for i := len(secs) - 1; i >= 0; i-- {
		all[i].after = inOrderOf(asked)
		byTimeOf(all[i].after)
		e := &ends[i]
		for of, u := range asked {
			if u.t = min(u.t+e.length, furthest); of < feet.Letters && e.named[of] {
				u.marked = true
			}
			asked[of] = u
		}
		for _, u := range e.first {
			asked[u.of] = u
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

// passOn counts in what a section uses, seen from so many seconds on.
func passOn(asked map[int]use, fresh []use, by float64) {
	for of, u := range asked {
		u.t = max(u.t+by, -furthest)
		asked[of] = u
	}
	for _, u := range fresh {
		u.t = max(u.t+by, -furthest)
		u.marked = false
		asked[u.of] = u
	}
}

func byTimeOf(list []use) {
	slices.SortStableFunc(list, func(a, b use) int { return cmp.Compare(a.t, b.t) })
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
