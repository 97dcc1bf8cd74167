package fix

import (
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
)

// handOver gives the other hand what it is free to take: a note, the end of a
// chord that lies towards it, a whole figure, a whole line of the staff.
func handOver(s *site) (out []candidate) {
	if s.other == nil {
		return nil
	}
	add := func(what string, plucks []hands.Pluck) {
		if c, ok := s.given(fmt.Sprintf("Give %s to the %s (same sound)", what, s.other.Name), plucks); ok {
			out = append(out, c)
		}
	}
	strokes := s.plucks()
	var ends []hands.Pluck
	for _, plucks := range strokes {
		if len(plucks) == 1 {
			if len(strokes) <= mostSingles {
				add(s.called(plucks), plucks)
			}
			continue
		}
		for n := 1; n < len(plucks); n++ {
			part := s.end(plucks, n)
			if len(strokes) <= mostSingles {
				add(s.called(part), part)
			}
		}
		ends = append(ends, s.end(plucks, 1)...)
	}
	if len(ends) > 1 {
		add(fmt.Sprintf("one note of each chord, %s", s.names(ends)), ends)
	}
	for _, figures := range s.part.Groupings(s.hand, s.finding.From, s.finding.To) {
		for i, chosen := range [][]rules.Figure{everySecond(figures, 0), everySecond(figures, 1)} {
			add(fmt.Sprintf("every second figure, %s (%s),", fromThe(i), s.names(s.ofFigures(chosen))), s.ofFigures(chosen))
		}
		for i := range figures {
			if len(figures) <= mostFigures {
				add("the figure "+s.called(s.ofFigures(figures[i:i+1])), s.ofFigures(figures[i:i+1]))
			}
		}
	}
	for _, line := range s.lines() {
		add("the line "+s.called(line), line)
	}
	return out
}

// mostSingles is up to how many strokes each is tried by itself.
const mostSingles = 32

// lowestForRight is C3: the right hand is given nothing below it, which it does not
// reach with ease (a series of orchestration tips; read).
const lowestForRight = 21

// given hands plucks over to the other staff.
func (s *site) given(title string, plucks []hands.Pluck) (candidate, bool) {
	c := candidate{title: title, promise: sameTogether, change: change{give: map[noteAt]bool{}}}
	for _, pl := range plucks {
		at, ok := s.place(pl)
		if !ok || pl.Grace || s.other == s.part.Right && pl.Note.String < lowestForRight {
			return candidate{}, false
		}
		c.give[at] = true
	}
	return c, len(c.give) > 0
}

// end is n notes of a chord, those that lie towards the other hand.
func (s *site) end(plucks []hands.Pluck, n int) []hands.Pluck {
	if s.hand == s.part.Left {
		return plucks[len(plucks)-n:]
	}
	return plucks[:n]
}

func (s *site) ofFigures(figures []rules.Figure) (out []hands.Pluck) {
	for _, f := range figures {
		for i := f.From; i <= f.To; i++ {
			out = append(out, s.hand.Plucks[i]...)
		}
	}
	return out
}

// lines are the notes at fault by the voice and layer that they are written in,
// where the staff has several.
func (s *site) lines() (out [][]hands.Pluck) {
	type line struct{ voice, layer int }
	at := map[line]int{}
	for _, plucks := range s.plucks() {
		for _, pl := range plucks {
			spot, ok := s.place(pl)
			if !ok {
				continue
			}
			l := line{spot.voice, pl.Event.Layer}
			if _, known := at[l]; !known {
				at[l] = len(out)
				out = append(out, nil)
			}
			out[at[l]] = append(out[at[l]], pl)
		}
	}
	if len(out) < 2 {
		return nil
	}
	return out
}
