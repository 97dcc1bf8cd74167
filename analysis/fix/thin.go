package fix

import (
	"fmt"
	"sort"

	"fourfold/analysis/hands"
)

// thin leaves notes out of a chord until a hand takes it, in the order in which a
// harpist drops them: doubled notes first, inner ones before outer; then the fifth
// above the bass; then inner notes from the bottom up. Bass and top stay, and the
// third unless nothing else is left.
// The order is common practice, no source.
func thin(s *site) (out []candidate) {
	if s.hand == nil {
		return s.withoutInner()
	}
	for i, plucks := range s.plucks() {
		order := s.dropOrder(s.finding.From+i, plucks)
		for n := 1; n <= len(order); n++ {
			for _, chosen := range [][]hands.Pluck{order[:n], order[n-1 : n]} {
				c := change{drop: map[noteAt]bool{}}
				for _, pl := range chosen {
					if at, ok := s.place(pl); ok {
						c.drop[at] = true
					}
				}
				if len(c.drop) == len(chosen) && s.leavesReachable(plucks, chosen) {
					title := fmt.Sprintf("Thin the chord: leave out %s (same bass and top)", s.called(chosen))
					out = append(out, candidate{title: title, change: c, promise: sameOutline})
				}
			}
		}
	}
	return out
}

// withoutInner leaves out an inner note of a chord for which no pedal is in time:
// there, or wherever it is an inner note of its bar.
func (s *site) withoutInner() (out []candidate) {
	for _, at := range s.marked() {
		if !s.isInner(at) {
			continue
		}
		all := map[noteAt]bool{}
		for e := range s.bar(at).Events() {
			for n := range s.bar(at).Events()[e].Notes {
				if like := (noteAt{at.voice, at.bar, e, n}); pitchOf(s.note(like)) == pitchOf(s.note(at)) && s.isInner(like) {
					all[like] = true
				}
			}
		}
		title := fmt.Sprintf("Thin the chord: leave out %s (same bass and top)", s.name(at))
		out = append(out, candidate{title: title, change: change{drop: map[noteAt]bool{at: true}}, promise: sameOutline})
		if len(all) > 1 {
			title = fmt.Sprintf("Thin %d chords: leave out %s throughout the bar (same bass and top)", len(all), s.name(at))
			out = append(out, candidate{title: title, change: change{drop: all}, promise: sameOutline})
		}
	}
	return out
}

// isInner says whether a note of a chord is neither its lowest nor its highest.
func (s *site) isInner(at noteAt) bool {
	below, above := false, false
	for n := range s.event(at).Notes {
		below = below || s.event(at).Notes[n].String < s.note(at).String
		above = above || s.event(at).Notes[n].String > s.note(at).String
	}
	return below && above
}

// dropOrder lists what may be left out, the most dispensable first.
func (s *site) dropOrder(stroke int, plucks []hands.Pluck) (out []hands.Pluck) {
	if len(plucks) < 3 {
		return nil
	}
	rank := map[int]int{}
	for i, pl := range s.spare(stroke, plucks) {
		for k := range plucks {
			if plucks[k].Note == pl.Note {
				rank[k] = i - len(plucks)
			}
		}
	}
	bass := plucks[0].Note.String
	for k := 1; k < len(plucks)-1; k++ {
		if _, spare := rank[k]; spare {
			continue
		}
		switch (plucks[k].Note.String - bass) % 7 {
		case 4:
			rank[k] = 0
		case 2:
			rank[k] = 2
		default:
			rank[k] = 1
		}
	}
	for k := 1; k < len(plucks)-1; k++ {
		out = append(out, plucks[k])
	}
	index := func(pl hands.Pluck) int {
		for k := range plucks {
			if plucks[k].Note == pl.Note {
				return k
			}
		}
		return 0
	}
	sort.SliceStable(out, func(i, j int) bool { return rank[index(out[i])] < rank[index(out[j])] })
	return out
}

// leavesReachable says whether a hand takes what stays of a chord.
func (s *site) leavesReachable(plucks, gone []hands.Pluck) bool {
	var strings []int
	for _, pl := range plucks {
		stays := true
		for _, g := range gone {
			stays = stays && g.Note != pl.Note
		}
		if stays {
			strings = append(strings, pl.Note.String)
		}
	}
	return hands.Reachable(strings, s.set.Hand)
}
