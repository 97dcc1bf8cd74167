package lsp

import (
	"context"
	"reflect"
	"time"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"fourfold/analysis"

	wire "fourfold/lsp/protocol"
)

// watch analyses the newest version of a document whenever there is a newer
// one, until the document is closed. There is no delay and no queue: a newer
// version interrupts the work on an older, and what was skipped is never made
// up for. Its last act is to clear the list. before is the goroutine of an
// earlier life of the same document, whose last act comes first.
func (s *session) watch(ctx context.Context, d *document, uri string, before <-chan struct{}) {
	defer s.forget(uri, d)
	if before != nil {
		<-before
	}
	var done *snapshot
	for {
		select {
		case <-ctx.Done():
			s.publish(wire.PublishDiagnosticsParams{URI: uri, Diagnostics: []protocol.Diagnostic{}})
			return
		case <-d.wake:
		}
		snap, passCtx, cancel := d.begin(ctx)
		if snap != done {
			done = snap
			s.diagnose(passCtx, snap)
		}
		cancel()
	}
}

// forget closes the book on a document that has ended.
func (s *session) forget(uri string, d *document) {
	s.mu.Lock()
	defer s.mu.Unlock()
	close(d.ended)
	if s.ending[uri] == d.ended {
		delete(s.ending, uri)
	}
}

// diagnose analyses a snapshot and publishes what it finds, with the version
// that it is about: first what the music around an edit decides, then, where it
// differs, what the whole does. A pass that was interrupted publishes nothing, and a
// client that pulls is published nothing: for it the reading only waits to be asked
// for.
func (s *session) diagnose(ctx context.Context, snap *snapshot) {
	defer s.priority.begin()()
	start := time.Now()
	_, err := s.guard("diagnostics", func() (any, error) {
		var said []protocol.Diagnostic
		if g := snap.pass.soon(ctx); g != nil && !s.pulls() {
			said = s.announce(ctx, snap, g, nil)
		}
		reading, err := snap.pass.read(ctx, snap.text())
		if err != nil {
			return nil, err
		}
		if !s.pulls() {
			s.announce(ctx, snap, snap.pass.glimpsed(), said)
		}
		s.tellCeilings(ctx, snap, reading)
		return nil, ctx.Err()
	})
	s.log.Debug("pass", zap.String("uri", snap.uri), zap.Duration("took", time.Since(start)), zap.Error(err))
}

// announce publishes what a client needs of the findings, unless it has been said already
// or is no longer wanted. It gives what was said.
func (s *session) announce(ctx context.Context, snap *snapshot, g *analysis.Glimpse, said []protocol.Diagnostic) []protocol.Diagnostic {
	list := s.needed(snap, g)
	if ctx.Err() == nil && (said == nil || !reflect.DeepEqual(said, list)) {
		s.publish(wire.PublishDiagnosticsParams{URI: snap.uri, Version: snap.version, Diagnostics: list})
	}
	return list
}

// publish sends a list to a client that does not pull.
func (s *session) publish(p wire.PublishDiagnosticsParams) {
	if !s.pulls() {
		s.client.publish(p)
	}
}

// pulls says whether the client asks for diagnostics.
func (s *session) pulls() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.editor.pulls
}
