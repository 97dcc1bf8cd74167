package lsp

import (
	"cmp"
	"encoding/json"
	"slices"

	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// named is a finding that a request is about, and the client's diagnostics for
// it as they came.
type named struct {
	finding     rules.Finding
	diagnostics []json.RawMessage
}

// meant finds what a request is about, the worst first. A finding is known again by
// its rule and its range, which every client sends back; where the text has moved
// under the client's mark, by its rule and a range that overlaps.
func (d *desk) meant(p wire.CodeActionParams) []named {
	list := d.match(p.Context.Diagnostics, func(f, d score.Span) bool { return f == d })
	if len(list) == 0 {
		list = d.match(p.Context.Diagnostics, overlap)
	}
	if len(list) == 0 {
		span := d.snap.lines.span(p.Range)
		for _, f := range d.Touching(span) {
			if overlap(f.Span, span) {
				list = append(list, named{finding: f})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b named) int { return cmp.Compare(a.finding.Severity, b.finding.Severity) })
	return list
}

// match finds what diagnostics of the client's stand for, in the order of the text.
func (d *desk) match(marks []wire.Diagnostic, same func(f, d score.Span) bool) []named {
	var list []named
	for _, m := range marks {
		span := d.snap.lines.span(m.Range)
		for _, f := range d.Touching(span) {
			if m.Code != f.Rule || !same(f.Span, span) {
				continue
			}
			i := slices.IndexFunc(list, func(n named) bool { return isSame(n.finding, f) })
			if i < 0 {
				i, list = len(list), append(list, named{finding: f})
			}
			list[i].diagnostics = append(list[i].diagnostics, m.Raw)
		}
	}
	slices.SortStableFunc(list, func(a, b named) int { return cmp.Compare(a.finding.Span.Start, b.finding.Span.Start) })
	return list
}
