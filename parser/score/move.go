package score

// move is what an edit does to places after it: bytes, lines and, voice by
// voice, bars are counted on from there. Places before it stay.
type move struct {
	from, bytes  int // offsets from here on move
	lines        int
	music, rests int
	bars         []barMove
	voices       map[string]int // id to index in bars
	problems     int
	tempi        int
	settings     int
	standings    map[*standing]*standing // moved so far
}

// barMove moves the numbers of the bars beyond one.
type barMove struct{ beyond, by int }

func (m *move) offset(at int) int {
	if at < m.from {
		return at
	}
	return at + m.bytes
}

func (m *move) span(s Span) Span {
	start := m.offset(s.Start)
	return Span{start, start + s.End - s.Start}
}

func (m *move) bar(voice, number int) int {
	if voice < 0 || voice >= len(m.bars) || number <= m.bars[voice].beyond {
		return number
	}
	return number + m.bars[voice].by
}

func (m *move) tempo(t Tempo) Tempo {
	t.Span, t.Bar = m.span(t.Span), m.bar(t.voice, t.Bar)
	return t
}

func (m *move) problem(p Problem) Problem {
	p.Span = m.span(p.Span)
	if i, ok := m.voices[p.Voice]; ok {
		p.Bar = m.bar(i, p.Bar)
	}
	if len(p.Fixes) == 0 {
		return p
	}
	fixes := make([]TextFix, len(p.Fixes))
	for i, f := range p.Fixes {
		fixes[i] = TextFix{Title: f.Title, Edits: append([]Edit(nil), f.Edits...)}
		for k := range fixes[i].Edits {
			fixes[i].Edits[k].Span = m.span(f.Edits[k].Span)
		}
	}
	p.Fixes = fixes
	return p
}

// layout moves where %%score names voices; one in the file header stays.
func (m *move) layout(l *layout) *layout {
	if l == nil || l.last() < m.from {
		return l
	}
	n := &layout{staves: l.staves, span: m.span(l.span)}
	for _, o := range l.names {
		n.names = append(n.names, named{o.id, m.span(o.span)})
	}
	return n
}

// voice moves all places that a voice remembers.
func (m *move) voice(v *voice) {
	i := v.index
	v.number = m.bar(i, v.number)
	if v.started {
		v.bar.start = m.offset(v.bar.start)
	}
	if v.open.Text != "" {
		v.open.Span = m.span(v.open.Span)
	}
	if v.broken.Valid() {
		v.brokenSpan = m.span(v.brokenSpan)
	}
	if v.tuplet.left > 0 {
		v.tuplet.span = m.span(v.tuplet.span)
		if o := v.tuplet.outer; o != nil {
			o.span = m.span(o.span)
		}
	}
	for k := range v.ties {
		t := &v.ties[k]
		t.span = m.span(t.span)
		t.origin.bar, t.head.bar = m.bar(i, t.origin.bar), m.bar(i, t.head.bar)
	}
	for _, ends := range [][]slurEnd{v.slurs, v.slurCloses} {
		for k := range ends {
			ends[k] = slurEnd{m.bar(i, ends[k].bar), m.span(ends[k].span)}
		}
	}
	for k := range v.marks {
		v.marks[k].Span = m.span(v.marks[k].Span)
	}
	if v.undeclared != (Span{}) {
		v.undeclared = m.span(v.undeclared)
	}
	for _, w := range []*wordPlace{&v.words, &v.symbols} {
		w.at.bar, w.start.bar = m.bar(i, w.at.bar), m.bar(i, w.start.bar)
		if w.start.bar > 0 {
			w.lines += m.music
		}
	}
}
