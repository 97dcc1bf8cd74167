package hands

// Passage is a range of placings, ends included, from one start afresh to the
// next: within it every placing depends on the one before.
type Passage struct{ From, To int }

// Passages splits the placings where the hand starts afresh.
func (s *Solution) Passages() (out []Passage) {
	for i := range s.Placings {
		if i == 0 || s.Placings[i].Change == Afresh {
			out = append(out, Passage{i, i})
		}
		out[len(out)-1].To = i
	}
	return out
}
