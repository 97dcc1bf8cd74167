package score

import (
	"math"
	"slices"

	"fourfold/parser/syntax"
)

// again reads a tune that an edit has changed: from the last mark before the
// edit, and until the reader is where the old reading was. What follows is
// taken over.
func (b *fileReader) again(old *Tune, oldFile *syntax.File, was, is syntax.Block) *Tune {
	f := b.file
	if old.trail == nil || f.Start(is.First) != oldFile.Start(was.First) {
		return b.tune(is, nil)
	}
	old = old.settle()
	head, tail := syntax.Shared(oldFile, was, f, is)
	k := 0
	for k < len(old.trail.marks) && old.trail.marks[k].line <= min(head, was.End-was.First-1) {
		k++
	}
	if k == 0 {
		return b.tune(is, nil)
	}
	c := &old.trail.marks[k-1]
	b.edits = true
	r := b.reader(newTune(f, is), nil)
	r.block = is
	r.trail = &trail{start: f.Start(is.First), marks: append(make([]mark, 0, len(old.trail.marks)+roomForMarks), old.trail.marks[:k]...)}
	r.restart(c, old)
	s := splice{r: r, old: old, from: c, rest: old.trail.marks[k:], lines: is.End - is.First - (was.End - was.First),
		suffix: oldFile.Start(was.End - tail)}
	s.bytes = f.Start(is.End-tail) - s.suffix
	for i := is.First + c.line; i < is.End; i++ {
		if i >= is.End-tail && s.try(i-is.First) {
			break
		}
		if i > is.First+c.line {
			r.record(i)
		}
		r.oneLine(i)
	}
	if len(r.tune.Problems) >= maxProblems {
		return b.tune(is, nil)
	}
	r.finish()
	s.compare()
	return r.tune
}

// settle gives the tune with a trail that counts from where the tune stands.
func (t *Tune) settle() *Tune {
	by := t.Span.Start - t.trail.start
	if by == 0 {
		return t
	}
	m := move{from: t.trail.start, bytes: by}
	tr := &trail{start: t.Span.Start, lines: t.trail.lines}
	for _, o := range t.trail.marks {
		tr.marks = append(tr.marks, m.mark(&o))
	}
	for _, p := range t.trail.read {
		tr.read = append(tr.read, m.problem(p))
	}
	for _, p := range t.trail.bars {
		tr.bars = append(tr.bars, m.problem(p))
	}
	n := *t
	n.trail = tr
	return &n
}

// splice joins a new reading to the rest of an old one.
type splice struct {
	r      *reader
	old    *Tune
	from   *mark      // where the new reading began
	rest   []mark     // the old ones after it
	lines  int        // more than before
	suffix int        // where the shared end of the text started
	bytes  int        // it has moved by
	kept   []keptBars // of each voice
}

// try takes over the rest of the old reading if, before line n, the reader is
// where the old one was.
func (s *splice) try(n int) bool {
	for len(s.rest) > 0 && s.rest[0].line+s.lines < n {
		s.rest = s.rest[1:]
	}
	r := s.r
	if len(s.rest) < 2 || s.rest[0].line+s.lines != n || !r.atRest() {
		return false
	}
	m, end := &s.rest[0], &s.rest[len(s.rest)-1]
	if !s.whole(end) || len(m.voices) != len(r.voices) {
		return false
	}
	was, last := m.restored(), end.restored()
	if !calm(was, s.suffix) || !s.sameToSing(m, was, last) {
		return false
	}
	v := move{from: s.suffix, bytes: s.bytes, lines: s.lines, music: r.music - m.music, rests: r.rests - m.rests,
		voices: map[string]int{}, problems: len(r.tune.Problems) - m.problems,
		tempi: len(r.tune.Tempi) - m.tempi, settings: len(r.tune.Settings) - m.settings}
	for i := range m.voices {
		beyond := 0
		if i < len(s.from.places) {
			beyond = s.from.places[i].bars
		}
		v.bars = append(v.bars, barMove{beyond, r.voices[i].number - was[i].number})
		v.voices[m.voices[i].out.ID] = i
	}
	if end.rests > r.maxRest || end.rests+v.rests > r.maxRest || s.old.Span.End < s.suffix {
		return false
	}
	now := r.mark(n)
	if moved := v.mark(m); !now.same(&moved) {
		return false
	}
	s.keepChecks(&v)
	s.join(m, end, &v)
	return true
}

// sameToSing says whether the notes that later w: and s: lines may still go back to
// are what they were.
func (s *splice) sameToSing(m *mark, before, after []voice) bool {
	for i := range before {
		was, last, now := &before[i], &after[i], s.r.voices[i]
		for _, w := range []struct{ was, last, now *wordPlace }{{&was.words, &last.words, &now.words}, {&was.symbols, &last.symbols, &now.symbols}} {
			again := w.was.lines == m.music && w.was.start.bar > 0 // another verse may follow at once
			if *w.was == *w.last && !again {
				continue // none follows
			}
			from, to := w.was.at, w.now.at
			if again {
				from, to = w.was.start, w.now.start
			}
			a, b := &s.old.Voices[i].list, &now.out.list
			k, l := min(max(0, from.bar-1), m.places[i].bars), min(max(0, to.bar-1), b.n)
			if m.places[i].bars-k != b.n-l {
				return false
			}
			for ; l < b.n; k, l = k+1, l+1 {
				if !sungAlike(a.at(k), b.at(l)) {
					return false
				}
			}
		}
	}
	return true
}

// sungAlike says whether words go to the notes of two bars alike.
func sungAlike(a, b Bar) bool {
	return slices.EqualFunc(a.Events(), b.Events(), func(a, b Event) bool { return a.Kind == b.Kind })
}

// whole says whether the old trail reaches the end of its tune.
func (s *splice) whole(end *mark) bool {
	return end.line == s.old.trail.lines && len(s.old.trail.read) < maxProblems
}

// keepChecks takes over what was said about the bars that were not read again, and not
// beside such, where they have kept their numbers.
func (s *splice) keepChecks(v *move) {
	r := s.r
	c := &checked{from: math.MaxInt}
	for i, w := range r.voices {
		if v.bars[i].by != 0 || w.out.Declared != s.old.Voices[i].Declared {
			return
		}
		c.from, c.to = min(c.from, v.bars[i].beyond), max(c.to, w.out.list.n)
	}
	c.from, c.to = max(0, c.from-1), c.to+1
	for _, p := range s.old.trail.bars {
		if p.Bar <= c.from || p.Bar > c.to {
			c.said = append(c.said, v.problem(p))
		}
	}
	if len(s.old.trail.bars)+len(r.tune.Problems) < maxProblems/2 {
		r.checked = c
	}
}

func (s *splice) join(m, end *mark, v *move) {
	r := s.r
	for _, p := range s.old.trail.read[m.problems:end.problems] {
		r.tune.Problems = append(r.tune.Problems, v.problem(p))
	}
	for _, t := range s.old.Tempi[m.tempi:end.tempi] {
		r.tune.Tempi = append(r.tune.Tempi, v.tempo(t))
	}
	for _, t := range s.old.Settings[m.settings:end.settings] {
		t.Span = v.span(t.Span)
		r.tune.Settings = append(r.tune.Settings, t)
	}
	for i := range s.rest[:len(s.rest)-1] {
		if k := len(r.trail.marks); i == 0 && k > 0 && r.trail.marks[k-1].line >= m.line+s.lines {
			continue
		}
		r.trail.marks = append(r.trail.marks, v.mark(&s.rest[i]))
	}
	last := v.mark(end)
	voices := last.restored()
	read := r.voices
	r.voices, r.voice = nil, nil
	for i := range voices {
		w := &voices[i]
		done := 0
		if i < len(read) {
			w.out.list, w.loose, w.low = read[i].out.list, read[i].loose, read[i].low
			done = m.places[i].bars
		}
		s.keep(w, &s.old.Voices[i].list, done, end.places[i].bars, v)
		r.voices = append(r.voices, w)
		r.byID[w.out.ID] = w
		if i == last.voice {
			r.voice = w
		}
	}
	r.env, r.part, r.music, r.rests = last.env, last.part, last.music, last.rests
	r.tune.Number, r.tune.Title = last.number, last.title
}

// keep takes the bars of a voice over that were not read again, from one index up to
// another. The line that opens the first of them may stand before the edit.
func (s *splice) keep(w *voice, old *barList, from, to int, v *move) {
	list := &w.out.list
	if from < to {
		bar := old.at(from)
		start := v.offset(bar.Start)
		if bar.Opening != "" {
			open, _ := bar.lines()
			bar.Content = s.r.opened(bar.Content, v.span(open.Shift(bar.Start)).Shift(-start))
		}
		list.add(Bar{start, bar.Content})
		list.share(old, from+1, to, v.bytes)
	}
	if s.r.long && !s.old.long {
		s.r.packBars(list)
	}
	w.shared = list.n
	s.kept = append(s.kept, keptBars{to - from, to, list.n})
}
