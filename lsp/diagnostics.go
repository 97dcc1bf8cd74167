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
// up for. What can be said at once is said here; the whole is read beside it, so that
// the next version need not wait until the work on this one has noticed that it is no
// longer wanted. Its last act is to clear the list. before is the goroutine of an
// earlier life of the same document, whose last act comes first.
func (s *session) watch(ctx context.Context, d *document, uri string, before <-chan struct{}) {
	defer s.forget(uri, d)
	if before != nil {
		<-before
	}
	wholes, idle := make(chan reading, 1), make(chan struct{})
	go func() {
		defer close(idle)
		for r := range wholes {
			s.diagnose(r.ctx, r.snap, r.said)
			r.cancel()
		}
	}()
	var done *snapshot
	for {
		select {
		case <-ctx.Done():
			close(wholes)
			<-idle
			s.publish(wire.PublishDiagnosticsParams{URI: uri, Diagnostics: []protocol.Diagnostic{}})
			return
		case <-d.wake:
		}
		if d.newest() == done {
			continue
		}
		snap, passCtx, cancel := d.begin(ctx)
		done = snap
		r := reading{passCtx, cancel, snap, s.glance(passCtx, snap)}
		select {
		case old := <-wholes: // it has not begun, and is not wanted any more
			old.cancel()
		default:
		}
		wholes <- r
	}
}

// reading is a whole to read: of which snapshot, and what has been said of it.
type reading struct {
	ctx    context.Context
	cancel context.CancelFunc
	snap   *snapshot
	said   []protocol.Diagnostic
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

// glance publishes what the music around an edit decides, or what the beginning of a
// long text does that has just been opened, and gives what it has said; nil where it
// takes reading the whole, and for a client that pulls.
func (s *session) glance(ctx context.Context, snap *snapshot) (said []protocol.Diagnostic) {
	defer s.priority.begin()()
	_, err := s.guard("diagnostics", func() (any, error) {
		if s.pulls() {
			return nil, nil
		}
		g := snap.pass.soon(ctx)
		if g == nil && snap.pass.first {
			g = analysis.First(ctx, snap.text(), snap.pass.settings())
		}
		if g != nil {
			said = s.announce(ctx, snap, g, nil)
		}
		return nil, ctx.Err()
	})
	s.log.Debug("glance", zap.String("uri", snap.uri), zap.Error(err))
	return said
}

// diagnose analyses a snapshot and publishes what it finds, where that is not what has
// been said already, with the version that it is about. A pass that was interrupted
// publishes nothing, and a client that pulls is published nothing: for it the reading
// only waits to be asked for.
func (s *session) diagnose(ctx context.Context, snap *snapshot, said []protocol.Diagnostic) {
	defer s.priority.begin()()
	start := time.Now()
	_, err := s.guard("diagnostics", func() (any, error) {
		reading, err := snap.pass.read(ctx)
		if err != nil {
			return nil, err
		}
		if s.pulls() {
			s.correct(snap, reading)
		} else {
			s.announce(ctx, snap, snap.pass.glimpsed(), said)
		}
		if snap.pass.owesMoves.Swap(false) {
			go s.client.refresh(wire.MethodInlayHintRefresh)
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
	// Two goroutines publish. The context of an older version has ended before a newer
	// one is published, so that under the lock the older can only come first.
	snap.saying.Lock()
	defer snap.saying.Unlock()
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
