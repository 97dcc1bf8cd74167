package score

// Holds says whether the span covers the other whole.
func (s Span) Holds(other Span) bool { return s.Start <= other.Start && other.End <= s.End }
