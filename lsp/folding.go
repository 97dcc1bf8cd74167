package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// foldingRanges are the stretches of the text that can be folded. They are whole
// lines, for clients of every kind.
func (s *session) foldingRanges(params json.RawMessage) (work, error) {
	var p wire.DocumentParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	limit := s.asked().folds
	return func(context.Context) (any, error) {
		folds := snap.tree().Folds()
		if limit > 0 && len(folds) > limit {
			folds = folds[:limit]
		}
		ranges := []protocol.FoldingRange{}
		for _, f := range folds {
			r := protocol.FoldingRange{StartLine: uint32(f.First), EndLine: uint32(f.Last)}
			if f.Remarks {
				r.Kind = protocol.CommentFoldingRange
			}
			ranges = append(ranges, r)
		}
		return ranges, nil
	}, nil
}
