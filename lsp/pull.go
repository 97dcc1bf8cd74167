package lsp

import (
	"context"
	"encoding/json"
	"errors"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// documentDiagnostic gives the findings on an open document to a client that pulls
// them; such a client is pushed none. The result id names the snapshot and what is
// shown of it: the same id means that nothing can have changed. When a newer
// version comes, the client is told to ask again.
func (s *session) documentDiagnostic(params json.RawMessage) (work, error) {
	var p wire.DocumentDiagnosticParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	snap, err := s.snapshotOf(p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	return func(ctx context.Context) (any, error) {
		if p.PreviousResultID != "" && p.PreviousResultID == snap.id {
			return wire.Unchanged(snap.id), nil
		}
		list, err := s.findings(ctx, snap)
		if err != nil {
			return nil, err
		}
		return wire.Full(snap.id, list), nil
	}, nil
}

// findings are those of a snapshot while it is the newest one. Its error is the
// context's, or says that the client must ask again.
func (s *session) findings(ctx context.Context, snap *snapshot) ([]protocol.Diagnostic, error) {
	wanted, cancel := snap.whileNewest(ctx)
	defer cancel()
	reading, err := snap.pass.read(wanted, snap.text())
	if err != nil {
		if ctx.Err() == nil && errors.Is(err, context.Canceled) {
			return nil, askAgain()
		}
		return nil, err
	}
	return s.diagnostics(snap, shown(snap, reading.Score(), reading.Findings())), nil
}

// askAgain answers a request about a text that is no longer the client's.
func askAgain() error {
	data := json.RawMessage(`{"retriggerRequest":true}`)
	err := jsonrpc2.NewError(wire.CodeServerCancelled, "there is a newer version")
	err.Data = &data
	return err
}

// refresh is a wish that the client pull again. While one is with the client, any
// number of others become one.
type refresh struct{ sent, again bool }

// refreshPull tells a client that pulls, and can be told, to pull again. It is
// called with s.mu held.
func (s *session) refreshPull() {
	if !s.editor.refreshesPull || !s.welcomed {
		return
	}
	if s.refresh.sent {
		s.refresh.again = true
		return
	}
	s.refresh.sent = true
	go func() {
		for more := true; more; {
			s.client.refreshDiagnostics()
			s.mu.Lock()
			more = s.refresh.again
			s.refresh = refresh{sent: more}
			s.mu.Unlock()
		}
	}()
}
