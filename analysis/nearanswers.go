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
	for _, s := range g.stores() {
		if s.region.Start > span.End || s.region.End <= span.Start-longest {
			continue
		}
		for _, f := range s.list() {
			if touches(f.Span, span) {
				list = append(list, f)
			}
		}
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
	for i, shelves := range g.long {
		for _, s := range shelves {
			s.Each(g.score.Tunes[i].Number, func(f *rules.Finding) {
				if holds(*f) {
					n++
				}
			})
		}
	}
	return n
}

// Total is how many findings there are.
func (g *Glimpse) Total() (n int) {
	for _, s := range g.stores() {
		n += s.n
	}
	return n
}

// HasWarnings says whether there is a warning or an error among them.
func (g *Glimpse) HasWarnings() bool {
	for _, s := range g.stores() {
		if s.holds(func(severity rules.Severity) bool { return severity <= rules.Warning }) {
			return true
		}
	}
	return false
}

// Total is how many findings there are.
func (r *Reading) Total() int { return r.glimpse.Total() }

// HasWarnings says whether there is a warning or an error among them.
func (r *Reading) HasWarnings() bool { return r.glimpse.HasWarnings() }

// Touching are the findings that touch a span of the text; see Glimpse.Touching.
func (r *Reading) Touching(span score.Span) []rules.Finding { return r.glimpse.Touching(span) }

// Count is how many findings some condition holds for that does not ask where they stand.
func (r *Reading) Count(holds func(rules.Finding) bool) int { return r.glimpse.Count(holds) }

// Answer is what the bars around a finding say of its fixes; see Reading.Answer. It is
// marked as far where the whole has to be asked.
func (g *Glimpse) Answer(ctx context.Context, f rules.Finding) fix.Answer {
	return g.answers.of(ctx, f, func() fix.Answer {
		q := g.text().Question(f)
		q.Near = true
		return fix.Find(ctx, q)
	})
}

// Known is Answer where it is known already.
func (g *Glimpse) Known(f rules.Finding) (fix.Answer, bool) {
	if a, ok := g.answers.find(f); ok && !a.Far {
		return a, true
	}
	return fix.Known(g.text().Question(f))
}

// Allow is the remark that lets a finding pass.
func (g *Glimpse) Allow(f rules.Finding) (fix.Fix, bool) { return fix.Allow(g.file, f) }

// Actions are the changes that can be asked for at a span of bytes; see Reading.Actions.
func (g *Glimpse) Actions(span score.Span) []fix.Action { return fix.Actions(g.text(), span) }

func (g *Glimpse) text() fix.Text {
	return fix.Text{File: g.file, Score: g.score, Settings: g.settings.Remembering(g.memory), Memory: g.fixes}
}
