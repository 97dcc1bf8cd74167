package fix

import (
	"context"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// mostTogether is how many findings are fixed before the text is read again.
const mostTogether = 8

// apart lists up to so many findings that are wanted and not given up, in the order of the text,
// with so many bars between them that no fix of one touches what is proved of another.
func (t Text) apart(most int, wanted Wanted, given func(identity) bool) (out []rules.Finding) {
	for _, f := range t.Findings {
		if len(out) == most {
			break
		}
		if !wanted(f) || given(identify(f)) {
			continue
		}
		free := true
		for _, g := range out {
			free = free && (g.Tune != f.Tune || f.Bar > g.EndBar+2*around || f.EndBar < g.Bar-2*around)
		}
		if free {
			out = append(out, f)
		}
	}
	return out
}

// asking is a finding and its fixes that may be taken, one at least.
type asking struct {
	rules.Finding
	fixes []Fix
}

// asked asks for the fixes of findings. Those without one that may be taken are
// given up; when the context ends, so is asking.
func (t Text) asked(ctx context.Context, list []rules.Finding, may func(Fix) bool, giveUp func(rules.Finding, Answer)) (out []asking) {
	for _, f := range list {
		a := Find(ctx, t.Question(f))
		if ctx.Err() != nil {
			return nil
		}
		var fixes []Fix
		for _, fx := range a.Fixes {
			if may(fx) {
				fixes = append(fixes, fx)
			}
		}
		if len(fixes) == 0 {
			giveUp(f, a)
			continue
		}
		out = append(out, asking{f, fixes})
	}
	return out
}

func (a Answer) whyNot(otherwise string) string {
	if len(a.Fixes) > 0 {
		return otherwise
	}
	return a.Why
}

// take fixes several findings at once, each with its first fix; a lone one with the
// first that holds on the whole text. False where that brings something as severe.
func (t Text) take(ctx context.Context, list []asking) (fixes []Fix, next Text, ok bool) {
	if len(list) == 1 {
		for _, fx := range list[0].fixes {
			if next, ok = t.accept(ctx, fx, list[0].Finding); ok {
				return []Fix{fx}, next, true
			}
		}
		return nil, Text{}, false
	}
	var edits []score.Edit
	for _, a := range list {
		fixes, edits = append(fixes, a.fixes[0]), append(edits, a.fixes[0].Edits...)
	}
	if next, ok = t.after(ctx, edits); !ok {
		return nil, Text{}, false
	}
	for _, f := range list {
		gone := 0
		for _, g := range list {
			if weight(g.Finding) <= weight(f.Finding) {
				gone++
			}
		}
		if next.asSevere(f.Finding) > t.asSevere(f.Finding)-gone || newKind(t, next, f.Finding) {
			return nil, Text{}, false
		}
	}
	return fixes, next, true
}

// after reads the text again with some edits. False where they overlap, or where the
// context ends.
func (t Text) after(ctx context.Context, edits []score.Edit) (Text, bool) {
	sorted := inOrder(edits)
	for i := 1; i < len(sorted); i++ {
		if sorted[i].Span.Start < sorted[i-1].Span.End {
			return Text{}, false
		}
	}
	next := Text{File: syntax.Parse(score.Apply(t.File.Text(), sorted)), Settings: t.Settings}
	next.Score = score.Update(t.Score, t.File, next.File)
	var err error
	_, next.Findings, err = rules.Run(ctx, next.File.Text(), next.Score, t.Settings)
	return next, err == nil
}
