package score

import "slices"

// Equal says whether two bars hold the same, to the last mark and place.
func (c *Content) Equal(o *Content) bool {
	if c == o {
		return true
	}
	if c == nil || o == nil || !c.Frame.equal(o.Frame) {
		return false
	}
	if c.packed != "" && o.packed != "" {
		return c.packed == o.packed
	}
	open, closing := c.lines()
	open2, closing2 := o.lines()
	return open == open2 && closing == closing2 && slices.EqualFunc(c.Events(), o.Events(), equalEvents)
}

// equal says whether two frames hold the same.
func (f *Frame) equal(g *Frame) bool {
	return f == g || f.Length == g.Length && f.Closing == g.Closing && f.Opening == g.Opening && f.Key == g.Key && f.Meter == g.Meter &&
		f.Ending == g.Ending && f.Part == g.Part && slices.Equal(f.marks, g.marks)
}

func equalEvents(a, b Event) bool {
	return a.Hidden == b.Hidden && a.SlurOpen == b.SlurOpen && a.SlurClose == b.SlurClose && a.Tuplet == b.Tuplet && a.Broken == b.Broken &&
		sameEvent(a, b) && slices.EqualFunc(a.Notes, b.Notes, equalNotes) && slices.EqualFunc(a.Graces, b.Graces, equalEvents)
}

func equalNotes(a, b Note) bool {
	return a.Head == b.Head && a.Explicit == b.Explicit && a.Midi == b.Midi
}
