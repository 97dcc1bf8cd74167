package score

import "slices"

// Equal says whether two bars hold the same, to the last mark and place.
func (c *Content) Equal(o *Content) bool {
	if c == o {
		return true
	}
	return c != nil && o != nil && c.Length == o.Length && c.Meter == o.Meter && c.Key == o.Key && c.Open.equal(&o.Open) && c.Close.equal(&o.Close) &&
		c.Ending == o.Ending && c.Part == o.Part && slices.EqualFunc(c.Events(), o.Events(), equalEvents)
}

func (l *BarLine) equal(o *BarLine) bool {
	return l.Text == o.Text && l.Span == o.Span && slices.Equal(l.Marks, o.Marks)
}

func equalEvents(a, b Event) bool {
	return a.Hidden == b.Hidden && a.SlurOpen == b.SlurOpen && a.SlurClose == b.SlurClose && a.Tuplet == b.Tuplet && a.Broken == b.Broken &&
		sameEvent(a, b) && slices.EqualFunc(a.Notes, b.Notes, equalNotes) && slices.EqualFunc(a.Graces, b.Graces, equalEvents)
}

func equalNotes(a, b Note) bool {
	return a.Head == b.Head && a.Explicit == b.Explicit && a.Midi == b.Midi
}
