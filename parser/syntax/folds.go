package syntax

import (
	"cmp"
	"slices"
)

// Fold is a run of lines that an editor may show as its first line alone. Lines
// count from 0; the last one is part of it.
type Fold struct {
	First, Last int
	Remarks     bool // nothing but remarks
}

// Folds are the stretches of a file that have a heading, in the order of their
// first lines, the longer before the shorter: the file's header, each tune, its
// header, the music under each V: and P: line, blocks of text, and runs of
// remarks.
func (f *File) Folds() (folds []Fold) {
	add := func(first, last int, remarks bool) {
		for last > first && f.Line(last).Kind == EmptyLine {
			last--
		}
		if last > first {
			folds = append(folds, Fold{first, last, remarks})
		}
	}
	for _, b := range f.blocks {
		if b.Kind == FreeBlock {
			continue
		}
		add(b.First, b.End-1, false)
		if b.Kind == TuneBlock {
			f.foldTune(b, add)
		}
	}
	f.foldRuns(add)
	sortFolds(folds)
	return folds
}

// foldTune folds the header of a tune and what stands under its V: and P: lines.
func (f *File) foldTune(b Block, add func(first, last int, remarks bool)) {
	body := b.First
	for body < b.End && f.Line(body).Zone == TuneHeader {
		body++
	}
	if body < b.End && f.Line(body).Kind == FieldLine && f.Line(body).Field == 'K' {
		body++
	}
	add(b.First, body-1, false)
	for _, field := range []byte{'P', 'V'} {
		open := -1
		for i := body; i <= b.End; i++ {
			ends := i == b.End || f.isField(i, field) || field == 'V' && f.isField(i, 'P')
			if ends && open >= 0 {
				add(open, i-1, false)
				open = -1
			}
			if i < b.End && f.isField(i, field) {
				open = i
			}
		}
	}
}

func (f *File) isField(i int, field byte) bool {
	return f.Line(i).Kind == FieldLine && f.Line(i).Field == field
}

// foldRuns folds blocks of text with the lines that open and close them, and runs
// of remarks.
func (f *File) foldRuns(add func(first, last int, remarks bool)) {
	for i := 0; i < f.lines.n; {
		kind, first := f.Line(i).Kind, i
		for i++; i < f.lines.n && f.Line(i).Kind == kind; i++ {
		}
		switch kind {
		case BlockLine:
			if first > 0 && f.Line(first-1).Kind == DirectiveLine {
				first--
			}
			last := i - 1
			if i < f.lines.n && f.Line(i).Kind == DirectiveLine {
				last = i
			}
			add(first, last, false)
		case CommentLine:
			add(first, i-1, true)
		}
	}
}

// sortFolds orders by the first line, the longer before the shorter.
func sortFolds(folds []Fold) {
	slices.SortStableFunc(folds, func(a, b Fold) int { return cmp.Or(cmp.Compare(a.First, b.First), cmp.Compare(b.Last, a.Last)) })
}

// VoiceRun gives the lines around line i that belong to one voice's music: from
// its V: line, or the start of the tune's body, up to the next V: line. It is
// false outside the music of a tune.
func (f *File) VoiceRun(i int) (first, last int, ok bool) {
	if i < 0 || i >= f.lines.n || f.Line(i).Zone != TuneBody {
		return 0, 0, false
	}
	for first = i; first > 0 && !f.isField(first, 'V') && f.Line(first-1).Zone == TuneBody && !f.Line(first).Starts; first-- {
	}
	for last = i; last+1 < f.lines.n && f.Line(last+1).Zone == TuneBody && !f.Line(last+1).Starts && !f.isField(last+1, 'V'); last++ {
	}
	return first, last, true
}
