package analysis

import (
	"context"

	"fourfold/analysis/fix"
	"fourfold/parser/score"
)

// Actions are the changes that can be asked for at a span of bytes where nothing is
// wrong: a caret, where it is empty, or a selection. They are listed at once; Act works
// one out.
func (r *Reading) Actions(span score.Span) []fix.Action { return fix.Actions(r.bare(), span) }

// Act works an action out by its name. It fails only when the context ends.
func (r *Reading) Act(ctx context.Context, name string, span score.Span) (fix.Acted, error) {
	return fix.Act(ctx, r.bare(), name, span)
}

// Edited is the text with some edits, which must not overlap.
func (r *Reading) Edited(edits []score.Edit) []byte { return fix.Edited(r.Text(), edits) }
