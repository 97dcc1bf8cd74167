package score

// overlay goes back by n bar lines: what follows is a layer of its own, with
// its own accidentals.
func (v *voice) overlay(r *reader, n int, span Span) {
	v.endOfBar(r, span)
	v.tuplet.left = 0
	if v.back > 0 || n > 1 {
		v.overlayFar(r, n, span)
		return
	}
	if !v.timed() && n == 1 {
		r.problem(RuleSyntax, span, "`&` lays a second voice over the bar, and there is nothing before it in this bar.")
		return
	}
	v.nextLayer()
}

// nextLayer starts the bar in work again, one layer on.
func (v *voice) nextLayer() {
	v.longest = v.longestLayer()
	v.layer++
	v.pos, v.last = Zero, -1
	v.acc = v.acc[:0]
}

// overlayFar goes back over whole bars.
func (v *voice) overlayFar(r *reader, n int, span Span) {
	if v.back > 0 {
		// finish the layer that runs now, then go back from the bar in work
		for v.back > 0 {
			v.forward(r)
		}
	}
	v.nextLayer()
	if n == 1 {
		return
	}
	target := v.number - (n - 1)
	if target < 1 || r.sink == nil && target > v.out.list.n {
		r.problem(RuleSyntax, span, "`&` goes back further than the voice has bars: one sign for each bar line.")
		return
	}
	v.saved = &savedBar{v.number, v.bar, append([]Event(nil), v.events...), v.started, v.longest}
	v.back = n - 1
	v.openOld(r, target)
}

// openOld takes an earlier bar into work again.
func (v *voice) openOld(r *reader, number int) {
	v.reset()
	v.number, v.layer = number, 1
	v.bar = v.newBar()
	v.longest = Zero
	if r.sink != nil {
		// Which layers the bar has is not known any more: each visit is a new one.
		v.visits++
		v.layer += v.visits << 20
		return
	}
	old := v.out.list.at(number - 1)
	open, closing := old.lines()
	v.bar = work{Frame: *old.Frame, start: old.Start, open: open, close: closing}
	v.events = append(v.events[:0], cloneEvents(old.Events())...)
	v.started, v.longest = true, v.bar.Length
	for _, e := range v.events {
		v.layer = max(v.layer, e.Layer+1)
	}
}

// forward leaves an earlier bar for the next, or for the bar in work.
func (v *voice) forward(r *reader) {
	v.bar.Length = v.longestLayer()
	v.deliver(r)
	v.back--
	if v.back > 0 {
		v.openOld(r, v.number+1)
		return
	}
	s := v.saved
	v.saved = nil
	v.reset()
	v.number, v.bar, v.started, v.longest = s.number, s.bar, s.started, s.longest
	v.events = append(v.events[:0], s.events...)
	for _, e := range v.events {
		v.layer = max(1, e.Layer+1)
	}
}
