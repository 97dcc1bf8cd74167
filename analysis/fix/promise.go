package fix

import (
	"sort"

	"fourfold/parser/score"
)

// promise is what a family says of the music: whether it holds between the tune
// before and after.
type promise func(before, after *score.Tune) bool

// sameRhythm says whether all voices have the same bars, events and times.
func sameRhythm(before, after *score.Tune) bool {
	return eachBar(before, after, func(a, b *score.Bar) bool { return sameTimes(a, b) && sameTies(a, b) })
}

// eachBar compares two tunes bar by bar; false where they have not as many.
func eachBar(before, after *score.Tune, same func(a, b *score.Bar) bool) bool {
	if len(before.Voices) != len(after.Voices) {
		return false
	}
	for v := range before.Voices {
		a, b := before.Voices[v].Bars(), after.Voices[v].Bars()
		if len(a) != len(b) {
			return false
		}
		for i := range a {
			if !same(&a[i], &b[i]) {
				return false
			}
		}
	}
	return true
}

// sameTies says whether the same notes of two bars are tied.
func sameTies(a, b *score.Bar) bool {
	for e := range a.Events() {
		for n := range a.Events()[e].Notes {
			x, y := &a.Events()[e].Notes[n], &b.Events()[e].Notes[n]
			if x.TieTo != y.TieTo || x.TieFrom != y.TieFrom {
				return false
			}
		}
	}
	return true
}

func sameTimes(a, b *score.Bar) bool {
	if len(a.Events()) != len(b.Events()) || a.Length != b.Length {
		return false
	}
	for e := range a.Events() {
		x, y := &a.Events()[e], &b.Events()[e]
		if x.Kind != y.Kind || x.Onset != y.Onset || x.Duration != y.Duration || len(x.Notes) != len(y.Notes) {
			return false
		}
	}
	return true
}

// sameLengths says whether every bar of every voice lasts as long as before.
func sameLengths(before, after *score.Tune) bool {
	return eachBar(before, after, func(a, b *score.Bar) bool { return a.Length == b.Length })
}

// sameNotes: the same rhythm, and in each bar of each voice the same pitches in
// whatever order.
func sameNotes(before, after *score.Tune) bool {
	return sameRhythm(before, after) && eachBar(before, after, func(a, b *score.Bar) bool {
		left := map[pitch]int{}
		tally(left, a, 1)
		tally(left, b, -1)
		for _, n := range left {
			if n != 0 {
				return false
			}
		}
		return true
	})
}

func tally(into map[pitch]int, bar *score.Bar, by int) {
	for e := range bar.Events() {
		for n := range bar.Events()[e].Notes {
			into[pitchOf(&bar.Events()[e].Notes[n])] += by
		}
	}
}

// sameEachNote gives a promise about every note by itself, in the same rhythm.
func sameEachNote(same func(a, b *score.Note) bool) promise {
	return func(before, after *score.Tune) bool {
		return sameRhythm(before, after) && eachBar(before, after, func(a, b *score.Bar) bool {
			for e := range a.Events() {
				for n := range a.Events()[e].Notes {
					if !same(&a.Events()[e].Notes[n], &b.Events()[e].Notes[n]) {
						return false
					}
				}
			}
			return true
		})
	}
}

// sameSound: every note sounds the same key, on whatever string.
var sameSound = sameEachNote(func(a, b *score.Note) bool { return a.Midi == b.Midi })

// untouched: every note as it was.
var untouched = sameEachNote(func(a, b *score.Note) bool { return pitchOf(a) == pitchOf(b) })

// sameClasses: every note sounds the same pitch class.
var sameClasses = sameEachNote(func(a, b *score.Note) bool { return class(a) == class(b) })

func class(n *score.Note) int { return ((n.Midi % 12) + 12) % 12 }

// moment is all that sounds anew at one place of the tune, by key.
type moment struct {
	bar   int
	onset score.Frac
}

// moments gathers the struck keys of some voices by bar and onset, ascending.
func moments(t *score.Tune) map[moment][]*score.Note {
	all := map[moment][]*score.Note{}
	for _, v := range t.Voices {
		for b := range v.Bars() {
			for e := range v.Bars()[b].Events() {
				ev := &v.Bars()[b].Events()[e]
				for n := range ev.Notes {
					if !ev.Notes[n].TieFrom {
						m := moment{b, ev.Onset}
						all[m] = append(all[m], &ev.Notes[n])
					}
				}
			}
		}
	}
	for _, notes := range all {
		sort.SliceStable(notes, func(i, j int) bool { return notes[i].Midi < notes[j].Midi })
	}
	return all
}

// eachMoment compares what sounds at every place of the tune.
func eachMoment(before, after *score.Tune, same func(a, b []*score.Note) bool) bool {
	was, is := moments(before), moments(after)
	if !sameLengths(before, after) || len(was) != len(is) {
		return false
	}
	for m, a := range was {
		b, ok := is[m]
		if !ok || !same(a, b) {
			return false
		}
	}
	return true
}

// sameTogether: at every place the same pitches are struck, by whichever hand.
func sameTogether(before, after *score.Tune) bool {
	return eachMoment(before, after, func(a, b []*score.Note) bool {
		if len(a) != len(b) {
			return false
		}
		left := map[pitch]int{}
		for i := range a {
			left[pitchOf(a[i])]++
			left[pitchOf(b[i])]--
		}
		for _, n := range left {
			if n != 0 {
				return false
			}
		}
		return true
	})
}

// sameHarmony: at every place the same pitch classes, with the same one at the
// bottom and the same one on top, in the same rhythm.
func sameHarmony(before, after *score.Tune) bool {
	return eachMoment(before, after, func(a, b []*score.Note) bool {
		return sameEnds(a, b) && classes(a) == classes(b)
	})
}

// sameOutline: nothing new at any place, and bass and top as they were.
func sameOutline(before, after *score.Tune) bool {
	return eachMoment(before, after, func(a, b []*score.Note) bool {
		return sameEnds(a, b) && classes(b)&^classes(a) == 0
	})
}

func sameEnds(a, b []*score.Note) bool {
	return len(a) > 0 && len(b) > 0 && class(a[0]) == class(b[0]) && class(a[len(a)-1]) == class(b[len(b)-1])
}

// classes is a set of pitch classes, a bit each.
func classes(notes []*score.Note) (set int) {
	for _, n := range notes {
		set |= 1 << class(n)
	}
	return set
}

// sameVoicing: chords keep their pitch classes note by note, bass and top are of
// the same pitch class, and no two notes fall on one string that did not before.
func sameVoicing(before, after *score.Tune) bool {
	return sameClasses(before, after) && eachMoment(before, after, func(a, b []*score.Note) bool {
		return sameEnds(a, b) && classes(a) == classes(b) && unisons(b) <= unisons(a)
	})
}

// unisons counts notes on a string that another note of the moment has.
func unisons(notes []*score.Note) (n int) {
	seen := map[int]bool{}
	for _, x := range notes {
		if seen[x.String] {
			n++
		}
		seen[x.String] = true
	}
	return n
}
