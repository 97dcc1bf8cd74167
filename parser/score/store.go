package score

import "hash/maphash"

// work is the bar in work.
type work struct {
	Frame
	start       int  // byte of the file from which its spans count
	open, close Span // of its bar lines
}

// longTune is how many bars the longest voice of a tune has whose bars are not packed,
// at most.
const longTune = 512

// limit is that number, for the tests smaller.
func (b *fileReader) limit() int {
	if b.short > 0 {
		return b.short
	}
	return longTune
}

// contentRoom is how many contents are made at a time.
const contentRoom = 64

// newContent gives room for a content. After an edit each has its own, so that the few which
// stay do not keep the others.
func (b *fileReader) newContent() *Content {
	if b.edits {
		return new(Content)
	}
	if len(b.contents) == 0 {
		b.contents = make([]Content, contentRoom)
	}
	c := &b.contents[0]
	b.contents = b.contents[1:]
	return c
}

// frame gives a frame that may be shared: one of the last few, if it is equal.
func (b *fileReader) frame(f *Frame) *Frame {
	for _, g := range b.frames {
		if g != nil && g.equal(f) {
			return g
		}
	}
	c := *f
	b.frames[b.frameAt%len(b.frames)] = &c
	b.frameAt++
	return &c
}

// content makes the content of the bar in work, with events that stay as they are.
func (b *fileReader) content(w *work, events []Event) *Content {
	c := b.newContent()
	c.Frame = b.frame(&w.Frame)
	c.body = &body{w.open, w.close, events}
	return c
}

// packed makes the packed content of a bar that nothing will change any more.
func (b *fileReader) packed(frame *Frame, in *body) *Content {
	if b.alike == nil {
		b.alike, b.seed = make([]*Content, alikeRoom), maphash.MakeSeed()
	}
	p := packer{b: b.packing} // on the stack: the collector need not hear of each byte
	p.content(in, &frame.Key)
	b.packing = p.b
	slot := &b.alike[maphash.Bytes(b.seed, p.b)%alikeRoom]
	if c := *slot; c != nil && c.Frame == frame && c.packed == string(p.b) {
		return c
	}
	c := b.newContent()
	c.Frame, c.packed = frame, string(p.b)
	*slot = c
	return c
}

// alikeRoom is how many packed bars are remembered, so that bars which hold the same
// share what they hold.
const alikeRoom = 1024

// store keeps a bar that is done: packed at once in a long tune where nothing that
// comes may touch it.
func (v *voice) store(r *reader) {
	bar := Bar{Start: v.bar.start}
	loose := !r.long || len(v.ties) > 0 || len(v.links) > 0
	switch {
	case !loose:
		v.body = body{v.bar.open, v.bar.close, v.events}
		bar.Content = r.packed(r.frame(&v.bar.Frame), &v.body)
	case r.long:
		bar.Content = r.content(&v.bar, cloneEvents(v.events))
	default:
		bar.Content = r.content(&v.bar, cloned(v.events))
	}
	if v.number <= v.out.list.n {
		v.dropMarks(r, v.number)
		v.low = min(v.low, v.number-1)
		v.out.list.set(v.number-1, bar)
	} else {
		v.out.list.add(bar)
	}
	if loose && (r.long || v.number <= v.shared) {
		v.isLoose(v.number)
	}
	if !r.long && v.out.list.n > r.limit() {
		r.growLong()
	}
}

// isLoose notes that a bar is the reading's own and may be changed.
func (v *voice) isLoose(bar int) {
	if v.loose == nil {
		v.loose = map[int]bool{}
	}
	v.loose[bar] = true
}

// change gives the content of a bar that is done, to be changed. A bar of an older
// score, or packed, is copied first.
func (v *voice) change(r *reader, bar int) *Content {
	v.dropMarks(r, bar)
	v.low = min(v.low, bar-1)
	b := v.out.list.at(bar - 1)
	if !v.loose[bar] && (r.long || bar <= v.shared) {
		c := r.newContent()
		in := *b.Content.unpacked().body
		in.events = cloneEvents(in.events)
		c.Frame, c.body = b.Frame, &in
		b.Content = c
		v.out.list.set(bar-1, b)
		v.isLoose(bar)
	}
	return b.Content
}

// tighten packs the bars that have been changed, or left as they were because they
// might be.
func (v *voice) tighten(r *reader) {
	for bar := range v.loose {
		b := v.out.list.at(bar - 1)
		if b.body != nil {
			b.Content = r.packed(b.Frame, b.body)
			v.out.list.set(bar-1, b)
		}
	}
	clear(v.loose)
}

// growLong begins to pack.
func (r *reader) growLong() {
	r.long = true
	for _, v := range r.voices {
		r.packBars(&v.out.list)
		clear(v.loose)
	}
}

func (r *reader) packBars(bars *barList) {
	for i := range bars.n {
		if b := bars.at(i); b.body != nil {
			b.Content = r.packed(b.Frame, b.body)
			bars.set(i, b)
		}
	}
}

// settleBars leaves the bars of a tune packed if it is long, and all others not.
func (r *reader) settleBars() {
	most := 0
	for _, v := range r.voices {
		most = max(most, v.out.list.n)
	}
	defer r.settleRows()
	switch long := most > r.limit(); {
	case long && !r.long:
		r.growLong()
	case long:
		for _, v := range r.voices {
			v.tighten(r)
		}
	case r.long:
		r.long = false
		r.unpackBars()
	}
}

func (r *reader) unpackBars() {
	for _, v := range r.voices {
		for i := range v.out.list.n {
			b := v.out.list.at(i)
			c := *b.unpacked()
			c.packed = ""
			v.out.list.set(i, Bar{b.Start, &c})
		}
	}
}

// opened gives a content whose opening bar line stands elsewhere.
func (r *reader) opened(c *Content, open Span) *Content {
	in := *c.unpacked().body
	if in.open == open {
		return c
	}
	in.open = open
	if c.body == nil {
		return r.packed(c.Frame, &in)
	}
	return &Content{Frame: c.Frame, body: &in}
}

// settleRows makes one row of the bars of a short tune.
func (r *reader) settleRows() {
	for _, v := range r.voices {
		if !r.long {
			v.out.list = listOf(v.out.list.flat())
		}
		v.out.row = &flatBars{}
	}
}
