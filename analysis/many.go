package analysis

import (
	"context"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// FixAll fixes what is wanted, one finding after the other, each with its preferred
// fix; see fix.All. When the context ends, it gives what is fixed by then.
func (r *Reading) FixAll(ctx context.Context, wanted fix.Wanted) fix.Outcome {
	return fix.All(ctx, r.whole(), wanted)
}

// FixKept fixes what is wanted with the fixes alone that keep every pitch where it
// sounded; see fix.Kept.
func (r *Reading) FixKept(ctx context.Context, wanted fix.Wanted) fix.Outcome {
	return fix.Kept(ctx, r.whole(), wanted)
}

// FixSelection fixes the serious findings that touch a span of bytes together, in the
// combination that leaves the fewest and changes the least that the time of the
// context allows to find; see fix.Selection.
func (r *Reading) FixSelection(ctx context.Context, span score.Span) fix.Outcome {
	return fix.Selection(ctx, r.whole(), span)
}

// Answer gives the fixes of a finding, how many candidates were refused and for what
// reason, and why there is none where there is none. It is kept: asked again, it is
// there at once. It must not be changed.
func (r *Reading) Answer(ctx context.Context, f rules.Finding) fix.Answer {
	return r.answers.of(ctx, f, func() fix.Answer { return fix.Find(ctx, r.bare().Question(f)) })
}

// Known is Answer where it has been asked about the finding before, in this text or in
// an earlier one whose bars around it were the same.
func (r *Reading) Known(f rules.Finding) (fix.Answer, bool) {
	if a, ok := r.answers.find(f); ok {
		return a, true
	}
	return fix.Known(r.bare().Question(f))
}

// Allow is the remark that lets a finding pass.
func (r *Reading) Allow(f rules.Finding) (fix.Fix, bool) { return fix.Allow(r.file, f) }

// whole is the text with all its findings.
func (r *Reading) whole() fix.Text {
	t := r.bare()
	t.Findings = r.Findings()
	return t
}

// bare is the text without its findings.
func (r *Reading) bare() fix.Text {
	return fix.Text{File: r.file, Score: r.score, Parts: r.result.Parts, Settings: r.settings.Remembering(r.memory), Memory: r.fixes}
}
