package lsp

import (
	"context"
	"encoding/json"
	"errors"
	"reflect"
	"sync"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	"fourfold/analysis"

	wire "fourfold/lsp/protocol"
)

// documentDiagnostic gives the findings on an open document to a client that pulls
// them; such a client is pushed none. The result id names the snapshot and what is
// shown of it: the same id means that nothing can have changed. When a newer
// version comes, the client is told to ask again.
//
// After a key a client that can be told to pull again is given what the music around
// the edit decides, and told to when the whole, once it is read, says otherwise.
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
		if list := s.soon(ctx, snap); list != nil {
			return wire.Full(snap.soonID(), list), nil
		}
		list, err := s.findings(ctx, snap)
		if err != nil {
			return nil, err
		}
		if p.PreviousResultID == snap.soonID() && reflect.DeepEqual(list, snap.soon.list()) {
			return wire.Unchanged(snap.soonID()), nil
		}
		return wire.Full(snap.id, list), nil
	}, nil
}

// findings are those of a snapshot while it is the newest one. Its error is the
// context's, or says that the client must ask again.
func (s *session) findings(ctx context.Context, snap *snapshot) ([]protocol.Diagnostic, error) {
	wanted, cancel := snap.whileNewest(ctx)
	defer cancel()
	reading, err := snap.pass.read(wanted)
	if err != nil {
		if ctx.Err() == nil && errors.Is(err, context.Canceled) {
			return nil, askAgain()
		}
		return nil, err
	}
	return s.needed(snap, reading.Glimpse()), nil
}

// early is what a client that pulls was given before the whole was read.
type early struct {
	mu    sync.Mutex
	given []protocol.Diagnostic
}

func (e *early) list() []protocol.Diagnostic {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.given
}

// soonID stands for what is given before the whole is read.
func (n *snapshot) soonID() string { return n.id + "~" }

// soon gives what can be said before the whole is read; nil where it is read, takes
// reading the whole, or could not be put right later.
func (s *session) soon(ctx context.Context, snap *snapshot) []protocol.Diagnostic {
	s.mu.Lock()
	can := s.editor.refreshesPull
	s.mu.Unlock()
	if !can {
		return nil
	}
	g := snap.pass.meanwhile(ctx)
	if g == nil {
		return nil
	}
	list := s.needed(snap, g)
	snap.soon.mu.Lock()
	snap.soon.given = list
	snap.soon.mu.Unlock()
	// Whoever reads the whole looks at what was given after that: one of the two sees
	// the other.
	if snap.pass.isRead() {
		return nil
	}
	return list
}

// correct has the client pull again if what it was given early is not what the whole
// says.
func (s *session) correct(snap *snapshot, whole *analysis.Reading) {
	given := snap.soon.list()
	if given == nil || reflect.DeepEqual(given, s.needed(snap, whole.Glimpse())) {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.refreshPull()
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
