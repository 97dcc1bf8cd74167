package analysis

import (
	"context"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Touching are the findings that touch a span of the text or stand right beside it, in
// the order of the text.
func (g *Glimpse) Touching(span score.Span) (list []rules.Finding) {
	add := func(in []rules.Finding) {
		for _, f := range in {
			if touches(f.Span, span) {
				list = append(list, f)
			}
		}
	}
	add(g.notation)
	lo, hi := g.kept.shelvesIn(score.Span{Start: max(0, span.Start-longest), End: span.End + 1})
	for i := lo; i < hi; i++ {
		add(g.kept.listed(&g.kept.shelves[i]))
	}
	inOrder(list)
	return list
}

func touches(f, span score.Span) bool {
	return f.Start <= span.End && span.Start <= f.End
}

// Count is how many findings some condition holds for that does not ask where they stand.
func (g *Glimpse) Count(holds func(rules.Finding) bool) (n int) {
	count := func(in []rules.Finding) {
		for _, f := range in {
			if holds(f) {
				n++
			}
		}
	}
	count(g.notation)
	for i := range g.kept.shelves {
		count(g.kept.shelves[i].findings)
	}
	return n
}

// Touching are the findings that touch a span of the text; see Glimpse.Touching.
func (r *Reading) Touching(span score.Span) (list []rules.Finding) {
	for _, f := range r.findings {
		if f.Span.Start > span.End {
			break
		}
		if touches(f.Span, span) {
			list = append(list, f)
		}
	}
	return list
}

// Count is how many findings some condition holds for.
func (r *Reading) Count(holds func(rules.Finding) bool) (n int) {
	for _, f := range r.findings {
		if holds(f) {
			n++
		}
	}
	return n
}

// Answer is what the bars around a finding say of its fixes; see Reading.Answer. It is
// marked as far where the whole has to be asked.
func (g *Glimpse) Answer(ctx context.Context, f rules.Finding) fix.Answer {
	q := g.text().Question(f)
	q.Near = true
	return fix.Find(ctx, q)
}

// Known is Answer where it is known already.
func (g *Glimpse) Known(f rules.Finding) (fix.Answer, bool) { return fix.Known(g.text().Question(f)) }

// Allow is the remark that lets a finding pass.
func (g *Glimpse) Allow(f rules.Finding) (fix.Fix, bool) { return fix.Allow(g.file, f) }

// Actions are the changes that can be asked for at a span of bytes; see Reading.Actions.
func (g *Glimpse) Actions(span score.Span) []fix.Action { return fix.Actions(g.text(), span) }

func (g *Glimpse) text() fix.Text {
	return fix.Text{File: g.file, Score: g.score, Settings: g.settings.Remembering(g.memory), Memory: g.fixes}
}
