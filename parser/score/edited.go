package score

// edited is what an Update knows of a tune that it has read again: outside of some bars
// it is as before.
type edited struct {
	of    *byte // the id of the tune before
	bytes int   // by which what follows has moved
	bars  []barRange
}

// barRange is the bars of a voice, by index, that are others than before: from up to to,
// before the edit up to was. None where from is was and to.
type barRange struct{ from, was, to int }

// compare gives bars that were read again and are as before their old contents, and notes
// where the others are. Bars below the splice's start may be changed too; those that were
// taken over are the same, but for the first.
func (s *splice) compare() {
	t := s.r.tune
	t.edited = &edited{of: s.old.id, bytes: s.bytes}
	for i, v := range t.Voices {
		was, is := &barList{}, &v.list
		if i < len(s.old.Voices) {
			was = &s.old.Voices[i].list
		}
		r := barRange{0, was.n, is.n}
		if i < len(s.from.places) {
			r.from = min(s.from.places[i].bars, s.r.voices[i].low)
		}
		if i < len(s.kept) {
			r.skip(was, is, s.kept[i], s.bytes)
		}
		r.narrow(was, is, s.bytes)
		t.edited.bars = append(t.edited.bars, r)
	}
}

// keptBars are those of a voice that were taken over.
type keptBars struct {
	bars    int // so many
	was, is int // index behind them, before the edit and after it
}

// skip leaves the bars out that were taken over, but for the first, if those behind them
// are as before.
func (r *barRange) skip(was, is *barList, kept keptBars, moved int) {
	behind := is.n - kept.is
	if kept.bars == 0 || behind != was.n-kept.was {
		return
	}
	for k := range behind {
		if !is.takeOver(is.n-1-k, was.at(was.n-1-k), moved) {
			return
		}
	}
	r.was -= behind + kept.bars - 1
	r.to -= behind + kept.bars - 1
}

// narrow leaves bars out that are as before.
func (r *barRange) narrow(was, is *barList, moved int) {
	for r.from < min(r.was, r.to) && is.takeOver(r.from, was.at(r.from), 0) {
		r.from++
	}
	for r.from < min(r.was, r.to) && is.takeOver(r.to-1, was.at(r.was-1), moved) {
		r.was--
		r.to--
	}
}

// takeOver gives a bar the content of one before if it is the same and stands by some bytes
// further on, and packed if this one is.
func (l *barList) takeOver(i int, was Bar, moved int) bool {
	b := l.at(i)
	if b.Start != was.Start+moved || !b.Content.Equal(was.Content) {
		return false
	}
	if b.Content != was.Content && (b.body == nil) == (was.body == nil) {
		l.set(i, Bar{b.Start, was.Content})
	}
	return true
}
