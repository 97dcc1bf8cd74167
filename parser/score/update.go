package score

import "fourfold/parser/syntax"

// Update gives what Build(newFile) gives. Tunes whose lines the two files share
// are taken over from the old score, moved to where they now stand; in a tune
// that has changed, what the edit does not reach is taken over.
func Update(old *Score, oldFile, newFile *syntax.File) *Score {
	if old == nil || oldFile == nil {
		return Build(newFile)
	}
	b := newFileReader(newFile)
	b.short = old.short
	if !sameHeader(oldFile, newFile) || b.maxRest != old.maxRest {
		return build(newFile, old.short)
	}
	before, after := tuneBlocks(oldFile), tuneBlocks(newFile)
	s := &Score{maxRest: b.maxRest, short: b.short, Tunes: make([]*Tune, len(after))}
	head := 0
	for head < min(len(before), len(after)) && sameLines(oldFile, before[head], newFile, after[head]) {
		head++
	}
	tail := 0
	for tail < min(len(before), len(after))-head &&
		sameLines(oldFile, before[len(before)-1-tail], newFile, after[len(after)-1-tail]) {
		tail++
	}
	for i, block := range after {
		j := i // of the old tune
		if i >= head {
			j += len(before) - len(after)
		}
		if i >= head && i < len(after)-tail {
			if len(before) == len(after) {
				s.Tunes[i] = b.again(old.Tunes[i], oldFile, before[i], block)
			} else {
				s.Tunes[i] = b.tune(block, nil)
			}
			continue
		}
		s.Tunes[i] = old.Tunes[j].moved(newFile.Start(block.First)-oldFile.Start(before[j].First), len(b.env.settings))
	}
	s.Problems = b.problems(len(s.Tunes))
	return s
}

func tuneBlocks(f *syntax.File) []syntax.Block {
	var out []syntax.Block
	for _, b := range f.Blocks() {
		if b.Kind == syntax.TuneBlock {
			out = append(out, b)
		}
	}
	return out
}

// sameLines says whether two blocks hold the same lines. Files of one lineage
// share a line exactly where its text and its reading are the same.
func sameLines(f *syntax.File, a syntax.Block, g *syntax.File, b syntax.Block) bool {
	if a.End-a.First != b.End-b.First {
		return false
	}
	head, _ := syntax.Shared(f, a, g, b)
	return head == a.End-a.First
}

// sameHeader says whether two files have the same file header at the same
// place.
func sameHeader(f, g *syntax.File) bool {
	a, b := headerEnd(f), headerEnd(g)
	return sameLines(f, syntax.Block{End: a}, g, syntax.Block{End: b})
}

// headerEnd is the number of lines up to the end of the file header.
func headerEnd(f *syntax.File) int {
	end := 0
	for _, b := range f.Blocks() {
		if b.Kind == syntax.FileHeaderBlock {
			end = b.End
		}
	}
	return end
}

// moved gives the tune as it is when its text stands by bytes further on. What
// bars hold counts from their bar and is shared. The first settings are those
// of the file header, which does not move.
func (t *Tune) moved(by, headerSettings int) *Tune {
	if by == 0 {
		return t
	}
	m := *t
	m.id, m.edited = new(byte), nil
	m.Span = t.Span.Shift(by)
	m.Voices = append([]*Voice(nil), t.Voices...)
	for i, v := range t.Voices {
		var list barList
		list.share(&v.list, 0, v.list.n, by)
		m.Voices[i] = v.withBars(list)
	}
	m.Tempi = append([]Tempo(nil), t.Tempi...)
	for i := range m.Tempi {
		m.Tempi[i].Span = m.Tempi[i].Span.Shift(by)
	}
	m.Settings = append([]Setting(nil), t.Settings...)
	for i := headerSettings; i < len(m.Settings); i++ {
		m.Settings[i].Span = m.Settings[i].Span.Shift(by)
	}
	m.Problems = append([]Problem(nil), t.Problems...)
	shift := move{from: t.Span.Start, bytes: by} // what the file header names stays
	for i := range m.Problems {
		m.Problems[i] = shift.problem(m.Problems[i])
	}
	return &m
}
