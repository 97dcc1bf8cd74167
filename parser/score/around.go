package score

import "sort"

// Place is where in the music a byte of the file stands.
type Place struct {
	Tune  *Tune
	Voice *Voice // nil outside bars
	Bar   *Bar   // nil outside bars
	Event *Event // nil where no note, chord or rest stands
	Note  *Note  // nil where no note stands

	bar int // index of the bar
}

// PlaceAt finds the place of a byte; false outside tunes. Of bars that lie over
// each other, as those of rests of several measures do, it is the first.
func (s *Score) PlaceAt(offset int) (p Place, ok bool) {
	for _, t := range s.Tunes {
		if offset < t.Span.Start || offset > t.Span.End || offset == t.Span.End && ok {
			continue
		}
		p, ok = Place{Tune: t}, true
		for _, v := range t.Voices {
			first, last := v.BarsIn(Span{offset, offset + 1})
			for i := first; i < last; i++ {
				if b := v.list.at(i); b.FileSpan().holds(offset) && (p.Bar == nil || b.Start > p.Bar.Start) {
					p.Voice, p.Bar, p.bar = v, &b, i
				}
			}
		}
	}
	if p.Bar != nil {
		p.find(offset - p.Bar.Start)
	}
	return p, ok
}

// BarsIn gives the bars, from first up to last, that may touch a span of the file:
// it does not look into them. Bars stand in the order of the text.
func (v *Voice) BarsIn(span Span) (first, last int) {
	after := func(at int) int {
		return sort.Search(v.list.n, func(i int) bool { return v.list.start(i) > at })
	}
	first = after(span.Start) - 1
	for first > 0 && v.list.start(first-1) == v.list.start(first) {
		first--
	}
	return max(0, first), after(span.End)
}

// holds says whether a byte lies in the span.
func (s Span) holds(offset int) bool { return s.Start <= offset && offset < s.End }

// find looks for the event and the note at a byte of the bar.
func (p *Place) find(at int) {
	events := p.Bar.Events()
	for i := range events {
		e := &events[i]
		for j := range e.Graces {
			if g := &e.Graces[j]; g.Span.holds(at) {
				p.Event = g
			}
		}
		if e.Span.holds(at) {
			p.Event = e
		}
	}
	if p.Event == nil {
		return
	}
	for i := range p.Event.Notes {
		if n := &p.Event.Notes[i]; n.Span.holds(at) {
			p.Note = n
		}
	}
}

// FileSpan is the bar's place in the file, with its bar line.
func (b *Bar) FileSpan() Span {
	end := b.Close().Span.End
	for _, e := range b.Events() {
		end = max(end, e.Span.End)
	}
	return Span{b.Start, b.Start + max(end, 0)}
}

// SameString gives the notes on the string of the note at a byte, in the same bar
// of all voices, that note too; none where no note stands there. Notes on one
// string may sound differently: C and C♯ are one.
func (s *Score) SameString(offset int) (spans []Span) {
	p, ok := s.PlaceAt(offset)
	if !ok || p.Note == nil {
		return nil
	}
	for _, v := range p.Tune.Voices {
		if p.bar >= v.list.n {
			continue
		}
		b := v.list.at(p.bar)
		events := b.Events()
		for i := range events {
			spans = append(spans, events[i].onString(p.Note.String, b.Start)...)
		}
	}
	return spans
}

// onString are the notes of an event, and of the graces before it, on a string.
func (e *Event) onString(str, start int) (spans []Span) {
	for i := range e.Graces {
		spans = append(spans, e.Graces[i].onString(str, start)...)
	}
	for i := range e.Notes {
		if e.Notes[i].String == str {
			spans = append(spans, e.Notes[i].Span.Shift(start))
		}
	}
	return spans
}
