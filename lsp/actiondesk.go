package lsp

import (
	"context"
	"slices"

	"fourfold/analysis"
	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// desk is what actions ask about a text: its reading, or, while that is not there yet,
// what the bars around an edit decide. What rests on more waits for the reading.
type desk struct {
	known
	snap    *snapshot
	reading *analysis.Reading // nil until it is there
}

// known is what both can be asked.
type known interface {
	Touching(score.Span) []rules.Finding
	Count(func(rules.Finding) bool) int
	Total() int
	HasWarnings() bool
	Answer(context.Context, rules.Finding) fix.Answer
	Allow(rules.Finding) (fix.Fix, bool)
	Actions(score.Span) []fix.Action
}

// deskOf opens a text. The only error is the context's.
func deskOf(ctx context.Context, snap *snapshot) (*desk, error) {
	d := &desk{snap: snap}
	if g := snap.pass.meanwhile(ctx); g != nil {
		d.known = g
		return d, nil
	}
	return d, d.read(ctx)
}

// read waits for the reading.
func (d *desk) read(ctx context.Context) (err error) {
	if d.reading == nil {
		if d.reading, err = d.snap.pass.read(ctx); err == nil {
			d.known = d.reading
		}
	}
	return err
}

// Answer gives the fixes of a finding, or why there is none; an empty one where the
// context ends, or where the whole says that there is no such finding.
func (d *desk) Answer(ctx context.Context, f rules.Finding) fix.Answer {
	a := d.known.Answer(ctx, f)
	if !a.Far {
		return a
	}
	if d.read(ctx) != nil {
		return fix.Answer{}
	}
	if f, ok := d.find(f); ok {
		return d.known.Answer(ctx, f)
	}
	return fix.Answer{}
}

// find finds a finding again.
func (d *desk) find(f rules.Finding) (rules.Finding, bool) {
	all := d.Touching(f.Span)
	i := slices.IndexFunc(all, func(g rules.Finding) bool { return isSame(f, g) })
	if i < 0 {
		return rules.Finding{}, false
	}
	return all[i], true
}

// isSame knows a finding again in the same text.
func isSame(f, g rules.Finding) bool {
	return g.Rule == f.Rule && g.Span == f.Span && g.Hand == f.Hand && g.Voice == f.Voice && g.Tune == f.Tune
}
