package lsp

import (
	"bytes"
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"

	"fourfold/analysis"
	"fourfold/analysis/review"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// codeLens says over each tune what it asks of a harpist; a click opens the
// review of the file.
func (s *session) codeLens(params json.RawMessage) (work, error) {
	var p wire.DocumentParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	return snap.withReading(func(ctx context.Context, reading *analysis.Reading) (any, error) {
		asks, err := snap.pass.asks(ctx, reading)
		if err != nil {
			return nil, err
		}
		lenses := []protocol.CodeLens{}
		tunes := reading.Score().Tunes
		for _, a := range asks {
			lenses = append(lenses, protocol.CodeLens{
				Range:   snap.lines.lineRange(firstLine(snap.text(), tunes[a.Tune].Span)),
				Command: &protocol.Command{Title: lensTitle(a), Command: commandReview, Arguments: []any{snap.uri}},
			})
		}
		return lenses, nil
	}), nil
}

// lensTitle names the player where the score does.
func lensTitle(a review.Asks) string {
	if a.Name == "" {
		return a.String()
	}
	return a.Name + ": " + a.String()
}

// firstLine is the first line of a span, without its end.
func firstLine(text []byte, span score.Span) score.Span {
	if i := bytes.IndexAny(text[span.Start:span.End], "\r\n"); i >= 0 {
		span.End = span.Start + i
	}
	return span
}
