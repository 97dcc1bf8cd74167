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
		var was []Bar
		if i < len(s.old.Voices) {
			was = s.old.Voices[i].Bars
		}
		r := barRange{0, len(was), len(v.Bars)}
		if i < len(s.from.places) {
			r.from = min(s.from.places[i].bars, s.r.voices[i].low)
		}
		if i < len(s.kept) {
			r.skip(was, v.Bars, s.kept[i], s.bytes)
		}
		r.narrow(was, v.Bars, s.bytes)
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
func (r *barRange) skip(was, is []Bar, kept keptBars, moved int) {
	behind := len(is) - kept.is
	if kept.bars == 0 || behind != len(was)-kept.was {
		return
	}
	for k := range behind {
		if a, b := was[len(was)-1-k], &is[len(is)-1-k]; a.Start+moved != b.Start || !b.takeOver(a) {
			return
		}
	}
	r.was -= behind + kept.bars - 1
	r.to -= behind + kept.bars - 1
}

// narrow leaves bars out that are as before.
func (r *barRange) narrow(was, is []Bar, moved int) {
	for r.from < min(r.was, r.to) && was[r.from].Start == is[r.from].Start && is[r.from].takeOver(was[r.from]) {
		r.from++
	}
	for r.from < min(r.was, r.to) && was[r.was-1].Start+moved == is[r.to-1].Start && is[r.to-1].takeOver(was[r.was-1]) {
		r.was--
		r.to--
	}
}

// takeOver gives the bar the content of one before if that is the same, and packed if this
// one is.
func (b *Bar) takeOver(was Bar) bool {
	if !b.Content.Equal(was.Content) {
		return false
	}
	if (b.body == nil) == (was.body == nil) {
		b.Content = was.Content
	}
	return true
}
