package score

// Content is all that a bar holds. Bars that an edit only moves share it, and so may
// bars that hold the same: it says what stands in a bar, not which bar it is. It is
// never changed once its tune is read.
//
// In a tune of more than 512 bars contents are packed: a few bytes an event. What they
// hold is made anew each time one asks, so ask once a bar; pointers to events and notes
// are stable in a Stretch, and in a shorter tune.
type Content struct {
	*Frame        // never nil
	body   *body  // as it was read; nil where it is packed alone
	packed string // "" where it is not packed
}

// Frame is what many bars have in common; they share it.
type Frame struct {
	Length Frac // time that the bar holds: the longest of its layers
	Meter  Meter
	Key    Key    // in force at the bar's start
	Ending string // "1", "2", "1,3" where a variant ending starts here
	Part   string // P: that starts here

	Opening, Closing string // the bar lines at its ends as written; "" where there is none
	marks            []Mark // before the closing one
}

// body is the rest of a bar.
type body struct {
	open, close Span // of the bar lines
	events      []Event
}

// Events are what stands in the bar, layer after layer. They must not be changed.
func (c *Content) Events() []Event {
	if c.body != nil {
		return c.body.events
	}
	return unpack(c.packed, &c.Key).events
}

// Count is how many events there are.
func (c *Content) Count() int {
	if c.body != nil {
		return len(c.body.events)
	}
	u := unpacker{text: c.packed}
	u.spans()
	return u.uint()
}

// Open is the bar line that opens the bar.
func (c *Content) Open() BarLine {
	open, _ := c.lines()
	return BarLine{Text: c.Opening, Span: open}
}

// Close is the bar line that ends the bar.
func (c *Content) Close() BarLine {
	_, closing := c.lines()
	return BarLine{Text: c.Closing, Span: closing, Marks: c.marks}
}

// lines are the spans of the bar lines.
func (c *Content) lines() (open, closing Span) {
	if c.body != nil {
		return c.body.open, c.body.close
	}
	u := unpacker{text: c.packed}
	return u.spans()
}

// unpacked gives the content with a body that stays.
func (c *Content) unpacked() *Content {
	if c.body != nil {
		return c
	}
	return &Content{Frame: c.Frame, body: unpack(c.packed, &c.Key), packed: c.packed}
}
