package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"

	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// signatureHelp shows how the value of K:, Q: or V: is built, and which part of it
// is being typed.
func (s *session) signatureHelp(params json.RawMessage) (work, error) {
	var p wire.PositionParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	offset := snap.lines.offset(p.Position)
	return func(context.Context) (any, error) {
		typed := score.TypedAt(snap.tree(), offset)
		if typed.Kind != score.TypedValue {
			return nil, nil
		}
		sig, ok := score.SignatureOf(typed.Code, typed.Before+snap.written(typed.Span))
		if !ok {
			return nil, nil
		}
		info := protocol.SignatureInformation{Label: sig.Label, Documentation: sig.Doc, ActiveParameter: uint32(sig.Active)}
		for _, part := range sig.Parts {
			info.Parameters = append(info.Parameters, protocol.ParameterInformation{Label: part.Name, Documentation: part.Title})
		}
		return protocol.SignatureHelp{Signatures: []protocol.SignatureInformation{info}, ActiveParameter: uint32(sig.Active)}, nil
	}, nil
}
