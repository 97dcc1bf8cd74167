package lsp

import (
	"context"
	"sync"

	"fourfold/analysis"
	"fourfold/analysis/review"

	wire "fourfold/lsp/protocol"
)

// askedOnce keeps what the tunes of one text ask: the code lens, the review and
// the editor's status line all want it.
type askedOnce struct {
	mu   sync.Mutex
	done bool
	asks []review.Asks
}

// asks is what each part of the reading asks of its player, in the order of the
// parts. Whoever comes while it is worked out waits.
func (p *pass) asks(ctx context.Context, reading *analysis.Reading) ([]review.Asks, error) {
	o := &p.asked
	o.mu.Lock()
	defer o.mu.Unlock()
	if !o.done {
		asks, err := review.AsksOf(ctx, reading)
		if err != nil {
			return nil, err
		}
		o.asks, o.done = asks, true
	}
	return o.asks, nil
}

// tellCeilings tells a client that wants to know what the tunes of a text ask,
// once its findings are out.
func (s *session) tellCeilings(ctx context.Context, snap *snapshot, reading *analysis.Reading) {
	if !s.asked().ceilings {
		return
	}
	asks, err := snap.pass.asks(ctx, reading)
	if err != nil || ctx.Err() != nil {
		return // a newer text has come, and its own figures with it
	}
	s.client.notify(wire.MethodCeiling, wire.CeilingParams{URI: snap.uri, Version: snap.version, Tunes: tunesOf(snap, reading, asks)})
}
