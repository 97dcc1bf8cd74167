package fix

import (
	"fmt"
	"strings"

	"fourfold/analysis/rules"
)

// reorder puts the notes of the figures at fault into one direction: the same
// notes in the same rhythm. Its candidates group the notes by one, two or four
// beats and run upwards or downwards.
func reorder(s *site) (out []candidate) {
	for _, figures := range s.part.Groupings(s.hand, s.finding.From, s.finding.To) {
		for _, up := range []bool{true, false} {
			direction := "downwards"
			if up {
				direction = "upwards"
			}
			order := func(f rules.Figure) ([]int, bool) {
				if f.To-f.From >= mostInDirection {
					return nil, false
				}
				return s.hand.Sorted(f, up)
			}
			if c, first, n := s.permuted(figures, order); n == 1 {
				c.title = fmt.Sprintf("Put the figure in one direction, %s: %s (same notes, same rhythm)", direction, first)
				out = append(out, c)
			} else if n > 1 {
				c.title = fmt.Sprintf("Put %d figures in one direction, %s, the first as %s (same notes, same rhythm)", n, direction, first)
				out = append(out, c)
			}
		}
	}
	return out
}

// permuted plays figures in another order: order gives the strokes of a figure as
// they are to follow. It gives the names of the first figure that changes and
// how many do.
func (s *site) permuted(figures []rules.Figure, order func(rules.Figure) ([]int, bool)) (c candidate, first string, n int) {
	c = candidate{change: change{pitch: map[noteAt]pitch{}}, promise: sameNotes}
	for _, f := range figures {
		strokes, ok := order(f)
		if !ok || !s.canSwap(f) {
			continue
		}
		n++
		var names []string
		for k, i := range strokes {
			from, to := s.hand.Plucks[i][0], s.hand.Plucks[f.From+k][0]
			names = append(names, s.part.Typed(from))
			if pitchOf(from.Note) == pitchOf(to.Note) {
				continue
			}
			if at, ok := s.place(to); ok {
				c.pitch[at] = pitchOf(from.Note)
			}
		}
		if first == "" {
			first = strings.Join(names, " ")
		}
	}
	return c, first, n
}

// canSwap says whether the notes of a figure may change places in the text: one
// voice and layer, no ties, graces, printed fingers or macros.
func (s *site) canSwap(f rules.Figure) bool {
	first := s.hand.Plucks[f.From][0]
	for i := f.From; i <= f.To; i++ {
		if len(s.hand.Plucks[i]) != 1 {
			return false
		}
		pl := s.hand.Plucks[i][0]
		if pl.Voice != first.Voice || pl.Event.Layer != first.Event.Layer || pl.Event.Chord || pl.Grace || tied(pl) ||
			pl.Event.Expanded || len(pl.Event.Graces) > 0 || hasFinger(pl.Event) {
			return false
		}
	}
	return true
}
