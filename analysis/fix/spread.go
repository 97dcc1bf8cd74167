package fix

import (
	"fmt"

	"fourfold/analysis/hands"
)

// spread lets the hands take turns note by note, as players do with a trill or a
// note that is repeated fast.
func spread(s *site) (out []candidate) {
	if s.other == nil {
		return nil
	}
	strokes := s.plucks()
	for _, from := range []int{1, 0} {
		var part []hands.Pluck
		for i := from; i < len(strokes); i += 2 {
			part = append(part, strokes[i]...)
		}
		title := fmt.Sprintf("Spread it between the hands: every second stroke, %s, to the %s (same sound)", fromThe(from), s.other.Name)
		if c, ok := s.given(title, part); ok {
			out = append(out, c)
		}
	}
	// A string that comes again: only its later strikes.
	seen := map[int]bool{}
	var again []hands.Pluck
	for _, plucks := range strokes {
		for _, pl := range plucks {
			if seen[pl.Note.String] {
				again = append(again, pl)
				delete(seen, pl.Note.String)
				continue
			}
			seen[pl.Note.String] = true
		}
	}
	if c, ok := s.given(fmt.Sprintf("Let the %s take every second strike of a string: %s (same sound)", s.other.Name, s.names(again)), again); ok {
		out = append(out, c)
	}
	return out
}
