package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// hover shows the card of the finger group under the cursor, and what would mend what
// does not fit there: nothing where no note of a harp stands.
func (s *session) hover(params json.RawMessage) (work, error) {
	var p wire.PositionParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	snap, err := s.snapshotOf(p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	markdown := s.editor.markdown
	s.mu.Unlock()
	return func(ctx context.Context) (any, error) {
		reading, err := snap.pass.read(ctx, snap.text())
		if err != nil {
			return nil, err
		}
		offset := snap.lines.offset(p.Position)
		card, ok := reading.Card(offset)
		if !ok {
			return nil, nil
		}
		where := snap.lines.lineRange(card.Span)
		more := remedies(reading, offset, markdown)
		contents := protocol.MarkupContent{Kind: protocol.PlainText, Value: PlainCard(card) + more}
		if markdown {
			contents = protocol.MarkupContent{Kind: protocol.Markdown, Value: markdownCard(card) + more}
		}
		return protocol.Hover{Contents: contents, Range: &where}, nil
	}, nil
}
