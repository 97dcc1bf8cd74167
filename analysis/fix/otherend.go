package fix

import (
	"fmt"

	"fourfold/analysis/rules"
)

// otherEnd starts figures on their other end: the same notes backwards. Where a
// hand has to fly back to start each figure anew, every second one turned round
// lets it stay.
func otherEnd(s *site) (out []candidate) {
	for _, figures := range s.part.Groupings(s.hand, s.finding.From, s.finding.To) {
		choices := [][]rules.Figure{everySecond(figures, 0), everySecond(figures, 1), figures}
		for i := range figures {
			if len(figures) <= mostFigures {
				choices = append(choices, figures[i:i+1])
			}
		}
		for _, chosen := range choices {
			c, first, n := s.permuted(chosen, s.backwards)
			switch {
			case n == 1:
				c.title = fmt.Sprintf("Start the figure on its other end: %s (same notes, same rhythm)", first)
			case n > 1:
				c.title = fmt.Sprintf("Start %d figures on their other end, the first as %s (same notes, same rhythm)", n, first)
			default:
				continue
			}
			out = append(out, c)
		}
	}
	return out
}

// mostFigures is up to how many figures each is tried by itself.
const mostFigures = 8

func everySecond(figures []rules.Figure, from int) (out []rules.Figure) {
	for i := from; i < len(figures); i += 2 {
		out = append(out, figures[i])
	}
	return out
}

// mostBackwards and mostInDirection bound the notes of a figure that is turned round
// or put into one direction: more is a phrase, and turning it makes another piece.
// Common practice, no source.
const (
	mostBackwards   = 6
	mostInDirection = 8
)

// backwards gives the strokes of a figure from the last to the first. False for
// fewer than three or more than mostBackwards, for chords and for what is the same
// both ways.
func (s *site) backwards(f rules.Figure) (order []int, ok bool) {
	if n := f.To - f.From + 1; n < 3 || n > mostBackwards {
		return nil, false
	}
	for i := f.To; i >= f.From; i-- {
		if len(s.hand.Strokes[i].Strings) != 1 {
			return nil, false
		}
		ok = ok || s.hand.Strokes[i].Strings[0] != s.hand.Strokes[f.From+f.To-i].Strings[0]
		order = append(order, i)
	}
	return order, ok
}
