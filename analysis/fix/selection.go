package fix

import (
	"context"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// mostWays is how many fixes of each finding Selection goes on from.
const mostWays = 3

// Selection fixes the serious findings that touch a span of the file together: it searches
// over the fixes of each for the combination that leaves the fewest, and of these
// changes the least. It goes depth first with each finding's preferred fix in
// front, so that the first answer is that of All; until the context ends it looks
// for better ones.
func Selection(ctx context.Context, t Text, span score.Span) Outcome {
	s := search{ctx: ctx, why: map[identity]string{}}
	s.wanted = func(f rules.Finding) bool {
		return Serious(f) && f.Span.Start < max(span.End, span.Start+1) && span.Start < f.Span.End
	}
	// The selection grows and shrinks with the text; bars stay.
	s.bars = map[int]bool{}
	for _, f := range t.Findings {
		if s.wanted(f) {
			for b := f.Bar; b <= f.EndBar; b++ {
				s.bars[b] = true
			}
			s.tunes = append(s.tunes, f.Tune)
		}
	}
	s.visit(t, nil, map[identity]bool{}, 0, 0)
	out := Outcome{Fixed: s.best.fixed, Whole: ctx.Err() == nil}
	now := t
	if s.found {
		now = s.best.text
	}
	return t.outcome(ctx, out, now, s.inSelection, s.why)
}

// search is the work of one Selection.
type search struct {
	ctx    context.Context
	wanted Wanted
	bars   map[int]bool
	tunes  []string
	why    map[identity]string // why a finding that was tried may stay
	best   combination
	found  bool
}

// combination is one way to fix a selection.
type combination struct {
	text         Text
	fixed        []Fix
	left         int // findings of the selection that stay
	moved, steps int
}

func (c combination) better(than combination) bool {
	switch {
	case c.left != than.left:
		return c.left < than.left
	case c.moved != than.moved:
		return c.moved < than.moved
	}
	return c.steps < than.steps
}

// inSelection wants the serious findings of the bars that were selected.
func (s *search) inSelection(f rules.Finding) bool {
	for _, tune := range s.tunes {
		if tune == f.Tune && Serious(f) && s.bars[f.Bar] {
			return true
		}
	}
	return false
}

// visit takes the next finding in each of its ways, and last not at all.
func (s *search) visit(now Text, fixed []Fix, given map[identity]bool, moved, steps int) {
	here := combination{now, fixed, countIf(now.Findings, s.inSelection), moved, steps}
	if !s.found || here.better(s.best) {
		s.best, s.found = here, true
	}
	f, ok := now.next(s.inSelection, func(id identity) bool { return given[id] })
	if !ok || s.ctx.Err() != nil || s.best.left == 0 && moved >= s.best.moved {
		return
	}
	ways := 0
	a := Find(s.ctx, now.Question(f))
	for _, fx := range a.Fixes {
		if ways == mostWays {
			break
		}
		if next, ok := now.accept(s.ctx, fx, f); ok {
			ways++
			s.visit(next, append(append([]Fix{}, fixed...), fx), given, moved+fx.Moved, steps+fx.Steps)
		}
	}
	if s.ctx.Err() != nil {
		return
	}
	if s.why[identify(f)] = a.Why; a.Why == "" {
		s.why[identify(f)] = "Its fixes would slow the piece down, or leave more at other places."
	}
	without := map[identity]bool{identify(f): true}
	for id := range given {
		without[id] = true
	}
	s.visit(now, fixed, without, moved, steps)
}
