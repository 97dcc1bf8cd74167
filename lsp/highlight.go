package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"

	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// highlights mark, for a note, the notes that are set with it in one placing, and
// the same string elsewhere in the bar, in every voice. For a name they mark where
// it stands. A placing is marked as what is written, which editors show more
// strongly, a string as what is read.
func (s *session) highlights(params json.RawMessage) (work, error) {
	var p wire.PositionParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	offset := snap.lines.offset(p.Position)
	return snap.withMusic(func(ctx context.Context, m music) (any, error) {
		parts, err := m.HandsNear(ctx, score.Span{Start: offset, End: offset + 1})
		if err != nil {
			return nil, err
		}
		list := []protocol.DocumentHighlight{}
		mark := func(span score.Span, kind protocol.DocumentHighlightKind) {
			list = append(list, protocol.DocumentHighlight{Range: snap.lines.lineRange(span), Kind: kind})
		}
		marked := map[score.Span]bool{}
		for _, n := range placingAt(parts, offset) {
			marked[n.Span] = true
			mark(n.Span, protocol.DocumentHighlightKindWrite)
		}
		for _, span := range m.Score().SameString(offset) {
			if !marked[span] {
				marked[span] = true
				mark(span, protocol.DocumentHighlightKindRead)
			}
		}
		if len(list) > 0 {
			return list, nil
		}
		all, _, _ := namesAt(snap, offset)
		for _, n := range all {
			mark(n.Span, protocol.DocumentHighlightKindText)
		}
		return list, nil
	}), nil
}

// placingAt are the notes of the placing that the note at a byte belongs to.
func placingAt(parts []*rules.Part, offset int) []rules.PlacedNote {
	for _, p := range parts {
		if notes, _, ok := p.PlacingAt(offset); ok {
			return notes
		}
	}
	return nil
}
