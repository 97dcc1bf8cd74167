package fix

import (
	"fmt"
	"sort"

	"fourfold/analysis/hands"
)

// doubled leaves out notes that sound in another octave of the same moment, an
// inner one first.
func doubled(s *site) (out []candidate) {
	drop := func(title string, notes []hands.Pluck) {
		c := candidate{title: fmt.Sprintf("%s %s (same harmony, same bass and top)", title, s.names(notes)), promise: sameHarmony,
			change: change{drop: map[noteAt]bool{}}}
		for _, pl := range notes {
			at, ok := s.place(pl)
			if !ok {
				return
			}
			c.drop[at] = true
		}
		if len(c.drop) > 0 {
			out = append(out, c)
		}
	}
	strokes := s.plucks()
	var all, lowest, highest []hands.Pluck
	for i, plucks := range strokes {
		spare := s.spare(s.finding.From+i, plucks)
		if len(spare) == 0 {
			continue
		}
		if len(strokes) <= mostSingles {
			for n := range spare {
				drop("Leave out the doubled", spare[n:n+1])
			}
			for n := 2; n <= len(spare) && n < len(plucks); n++ {
				drop("Leave out the doubled", spare[:n])
			}
		}
		all = append(all, spare[0])
		if len(plucks) == 2 {
			lowest, highest = append(lowest, plucks[0]), append(highest, plucks[1])
		}
	}
	if len(strokes) > 1 {
		for _, notes := range [][]hands.Pluck{all, lowest, highest} {
			if len(notes) > 1 {
				drop("Leave out the doubled notes", notes)
			}
		}
	}
	return out
}

// spare are notes of a chord whose pitch class sounds elsewhere in its moment,
// inner ones first, the lowest of these first.
func (s *site) spare(stroke int, plucks []hands.Pluck) (out []hands.Pluck) {
	if len(plucks) < 2 {
		return nil
	}
	count := map[int]int{}
	for _, pl := range plucks {
		count[class(pl.Note)]++
	}
	if s.other != nil {
		for i, o := range s.other.Strokes {
			if distanceOf(o.T, s.hand.Strokes[stroke].T) < 1e-9 {
				for _, pl := range s.other.Plucks[i] {
					count[class(pl.Note)]++
				}
			}
		}
	}
	for _, pl := range plucks {
		if count[class(pl.Note)] > 1 {
			out = append(out, pl)
		}
	}
	outer := func(pl hands.Pluck) int {
		switch pl.Note {
		case plucks[0].Note:
			return 1
		case plucks[len(plucks)-1].Note:
			return 2
		}
		return 0
	}
	sort.SliceStable(out, func(i, j int) bool { return outer(out[i]) < outer(out[j]) })
	return out
}

func distanceOf(a, b float64) float64 { return max(a-b, b-a) }
