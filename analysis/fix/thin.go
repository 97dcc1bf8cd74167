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
