package lsp

import (
	"cmp"
	"context"
	"encoding/json"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// codeAction offers the fixes of findings: of those that the client names, or,
// where it names none of ours, of those that the range touches.
func (s *session) codeAction(params json.RawMessage) (work, error) {
	var p wire.CodeActionParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	snap, err := s.snapshotOf(p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	return func(ctx context.Context) (any, error) {
		actions := []wire.CodeAction{}
		if !wanted(p.Context.Only, protocol.QuickFix) {
			return actions, nil
		}
		reading, err := snap.pass.read(ctx, snap.text())
		if err != nil {
			return nil, err
		}
		for _, m := range meant(snap, reading, p) {
			for i, o := range offers(ctx, reading, m.finding) {
				actions = append(actions, wire.CodeAction{
					Title:       o.title,
					Kind:        protocol.QuickFix,
					Diagnostics: m.diagnostics,
					IsPreferred: i == 0,
					Edit:        s.workspaceEdit(snap, o.edits),
				})
			}
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !s.isNewest(snap) {
			return nil, protocol.ErrContentModified
		}
		return actions, nil
	}, nil
}

// wanted says whether a client that asks only for some kinds wants this one.
// Kinds are a hierarchy: quickfix holds quickfix.notes.
func wanted(only []protocol.CodeActionKind, kind protocol.CodeActionKind) bool {
	if len(only) == 0 {
		return true
	}
	return slices.ContainsFunc(only, func(k protocol.CodeActionKind) bool {
		return k == "" || k == kind || strings.HasPrefix(string(kind), string(k)+".")
	})
}

// named is a finding that a request is about, and the client's diagnostics for
// it as they came.
type named struct {
	finding     rules.Finding
	diagnostics []json.RawMessage
}

// meant finds what a request is about. A finding is known again by its rule and
// its range, which every client sends back; where the text has moved under the
// client's mark, by its rule and a range that overlaps.
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

// offer is one change that answers a finding.
type offer struct {
	title string
	edits []score.Edit
}

// offers are the certain changes of a notation finding, then the proved ones.
func offers(ctx context.Context, reading *analysis.Reading, f rules.Finding) []offer {
	var list []offer
	for _, c := range f.Certain {
		list = append(list, offer{c.Title, c.Edits})
	}
	for _, x := range reading.Fixes(ctx, f) {
		list = append(list, offer{x.Title, x.Edits})
	}
	return list
}
