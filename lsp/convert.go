package lsp

import (
	"cmp"
	"slices"

	"go.lsp.dev/protocol"

	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// source is the name that editors show beside a finding.
const source = "fourfold"

// diagnostics says findings in the protocol's words.
func (s *session) diagnostics(snap *snapshot, findings []rules.Finding) []protocol.Diagnostic {
	s.mu.Lock()
	related, page := s.editor.related, s.editor.features.rules
	s.mu.Unlock()
	list := make([]protocol.Diagnostic, 0, len(findings))
	for _, f := range findings {
		d := protocol.Diagnostic{
			Range:    snap.lines.lineRange(f.Span),
			Severity: protocol.DiagnosticSeverity(f.Severity),
			Code:     f.Rule,
			Source:   source,
			Message:  wording(f),

			CodeDescription: page.link(f.Rule),
		}
		if related {
			d.RelatedInformation = relatedTo(snap, f)
		}
		list = append(list, d)
	}
	return list
}

// wording is a finding's message with the advice, where there is one.
func wording(f rules.Finding) string {
	if f.Advice == "" {
		return f.Message
	}
	return f.Message + " " + f.Advice
}

// relatedTo points to the other places that have a part in a finding.
func relatedTo(snap *snapshot, f rules.Finding) []protocol.DiagnosticRelatedInformation {
	var list []protocol.DiagnosticRelatedInformation
	for _, r := range f.Related {
		list = append(list, protocol.DiagnosticRelatedInformation{
			Location: protocol.Location{URI: protocol.DocumentURI(snap.uri), Range: snap.lines.lineRange(r.Span)},
			Message:  r.Message,
		})
	}
	return list
}

// textEdits says edits of a snapshot's text in the protocol's words, in the
// order of the text.
func textEdits(snap *snapshot, edits []score.Edit) []protocol.TextEdit {
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b score.Edit) int { return cmp.Compare(a.Span.Start, b.Span.Start) })
	list := make([]protocol.TextEdit, 0, len(edits))
	for _, e := range edits {
		list = append(list, protocol.TextEdit{Range: snap.lines.lineRange(e.Span), NewText: e.Text})
	}
	return list
}

// workspaceEdit holds edits of one snapshot, in the form that the client reads:
// with the version that they are for where it can.
func (s *session) workspaceEdit(snap *snapshot, edits []score.Edit) wire.WorkspaceEdit {
	s.mu.Lock()
	versioned := s.editor.documentChanges
	s.mu.Unlock()
	list := textEdits(snap, edits)
	if !versioned {
		return wire.WorkspaceEdit{Changes: map[string][]protocol.TextEdit{snap.uri: list}}
	}
	e := wire.TextDocumentEdit{Edits: list}
	e.TextDocument.URI, e.TextDocument.Version = snap.uri, snap.version
	return wire.WorkspaceEdit{DocumentChanges: []wire.TextDocumentEdit{e}}
}
