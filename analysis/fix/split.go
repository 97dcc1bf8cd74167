package fix

import (
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
)

// split shares a run between the hands: one takes it up to the best point, the
// other from there on; or they take turns by groups of two, three or four.
func split(s *site) (out []candidate) {
	if s.other == nil {
		return nil
	}
	strokes := s.plucks()
	if len(strokes) <= mostSingles {
		for k := 1; k < len(strokes); k++ {
			for i, part := range [][][]hands.Pluck{strokes[:k], strokes[k:]} {
				if len(part) == 1 {
					continue // that is to hand over
				}
				where := [...]string{"up to", "from"}[i]
				edge := part[len(part)-1]
				if i == 1 {
					edge = part[0]
				}
				title := fmt.Sprintf("Split the run: %s %s it is the %s's (same sound)", where, s.called(edge), s.other.Name)
				if c, ok := s.given(title, flat(part)); ok && s.towards(part) {
					out = append(out, c)
				}
			}
		}
	}
	// By groups the hands take turns to the end of the beat, not of the trouble.
	whole := s.wholeFigures(0, len(s.hand.Plucks)-1)
	strokes = s.hand.Plucks[whole[0] : whole[1]+1]
	for _, size := range []int{4, 3, 2} {
		if !s.evenly(whole[0], whole[1], size) {
			continue
		}
		for i, from := range []int{0, size} {
			var part [][]hands.Pluck
			for k := from; k < len(strokes); k += 2 * size {
				part = append(part, strokes[k:min(k+size, len(strokes))]...)
			}
			if len(part) == 0 || len(strokes) <= size {
				continue
			}
			first := [...]*rules.Hand{s.other, s.hand}[i].Name
			title := fmt.Sprintf("Let the hands take turns by groups of %d, the %s first: the %s takes %s (same sound)", size, first, s.other.Name, s.names(flat(part)))
			if c, ok := s.given(title, flat(part)); ok {
				out = append(out, c)
			}
		}
	}
	return out
}

func flat(strokes [][]hands.Pluck) (out []hands.Pluck) {
	for _, plucks := range strokes {
		out = append(out, plucks...)
	}
	return out
}

// towards says whether a part of the run lies on the other hand's side of the rest.
func (s *site) towards(part [][]hands.Pluck) bool {
	all := s.plucks()
	a, b := mean(part), mean(all)
	if s.hand == s.part.Left {
		return a >= b
	}
	return a <= b
}

func mean(strokes [][]hands.Pluck) float64 {
	sum, n := 0, 0
	for _, plucks := range strokes {
		for _, pl := range plucks {
			sum += pl.Note.String
			n++
		}
	}
	return float64(sum) / float64(max(n, 1))
}

// evenly says whether groups of a size fit the beats of a row: a group across a beat
// can hardly be read.
func (s *site) evenly(from, to, size int) bool {
	for _, f := range s.part.Groupings(s.hand, from, to)[0] {
		if (f.To-f.From+1)%size != 0 {
			return false
		}
	}
	return true
}
