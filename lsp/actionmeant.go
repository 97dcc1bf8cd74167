package lsp

import (
	"cmp"
	"encoding/json"
	"slices"

	"fourfold/analysis"
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
func meant(snap *snapshot, reading *analysis.Reading, p wire.CodeActionParams) []named {
	list := match(snap, reading, p.Context.Diagnostics, func(f, d score.Span) bool { return f == d })
	if len(list) == 0 {
		list = match(snap, reading, p.Context.Diagnostics, overlap)
	}
	if len(list) == 0 {
		for _, f := range reading.Findings() {
			if overlap(f.Span, snap.lines.span(p.Range)) {
				list = append(list, named{finding: f})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b named) int { return cmp.Compare(a.finding.Severity, b.finding.Severity) })
	return list
}

func match(snap *snapshot, reading *analysis.Reading, ds []wire.Diagnostic, same func(f, d score.Span) bool) []named {
	var list []named
	for _, f := range reading.Findings() {
		n := named{finding: f}
		for _, d := range ds {
			if d.Code == f.Rule && same(f.Span, snap.lines.span(d.Range)) {
				n.diagnostics = append(n.diagnostics, d.Raw)
			}
		}
		if n.diagnostics != nil {
			list = append(list, n)
		}
	}
	return list
}
