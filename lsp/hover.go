package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"

	"fourfold/analysis/rules"

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
		offset := snap.lines.offset(p.Position)
		card, more, ok, err := cardAt(ctx, snap, offset, markdown)
		if !ok {
			return nil, err
		}
		where := snap.lines.lineRange(card.Span)
		contents := protocol.MarkupContent{Kind: protocol.PlainText, Value: PlainCard(card) + more}
		if markdown {
			contents = protocol.MarkupContent{Kind: protocol.Markdown, Value: markdownCard(card) + more}
		}
		return protocol.Hover{Contents: contents, Range: &where}, nil
	}, nil
}

// cardAt gives the card at a byte and what would mend what does not fit there. While
// the whole is still being read, the music around the byte has to do.
func cardAt(ctx context.Context, snap *snapshot, offset int, markdown bool) (card rules.Card, more string, ok bool, err error) {
	if g := snap.pass.around(ctx); g != nil {
		if card, ok = g.Card(ctx, offset); ok {
			return card, remedies(g.At(offset), g.Known, markdown), true, nil
		}
		return card, "", false, ctx.Err()
	}
	reading, err := snap.pass.read(ctx)
	if err != nil {
		return card, "", false, err
	}
	if card, ok = reading.Card(offset); ok {
		more = remedies(reading.At(offset), reading.Known, markdown)
	}
	return card, more, ok, nil
}
