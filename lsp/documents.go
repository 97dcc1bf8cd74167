package lsp

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"

	"go.lsp.dev/jsonrpc2"
	"go.uber.org/zap"

	"fourfold/parser/score"
	"fourfold/parser/syntax"

	wire "fourfold/lsp/protocol"
)

// snapshot is one version of one document. It never changes; what is slow to
// find out about it is found out once, when first asked for.
type snapshot struct {
	uri     string
	version *wire.Integer // nil where the client tells none
	lines   lines         // the text, and its lines
	typing  *typing       // nil unless the last thing that happened was an edit
	pass    *pass
	id      string        // this snapshot's alone in the session
	newer   chan struct{} // closed when it is no longer the newest
	soon    *early        // what a client that pulls has been given of it
	saying  *sync.Mutex   // the document's, held while a list is published
	told    *tokensTold   // the document's
}

// tree is the document's syntax tree.
func (n *snapshot) tree() *syntax.File { return n.lines.file }

// text is the document's text. It must not be changed.
func (n *snapshot) text() []byte { return n.lines.text() }

// written is what stands at a span of the text.
func (n *snapshot) written(span score.Span) string { return string(n.text()[span.Start:span.End]) }

// document is an open document: its newest snapshot, and the goroutine that
// analyses it.
type document struct {
	cancel context.CancelFunc // ends the goroutine
	ended  chan struct{}      // closed when it has ended
	wake   chan struct{}      // holds one token when latest has changed

	saying    sync.Mutex
	mu        sync.Mutex
	birth     int // which document of the session it is
	puts      int // how many snapshots there have been
	latest    *snapshot
	interrupt context.CancelFunc // stops the pass that is running
}

// newest is the snapshot that a request is about.
func (d *document) newest() *snapshot {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.latest
}

// put makes a snapshot the newest one, and stops the pass over an older.
func (d *document) put(n *snapshot) {
	d.mu.Lock()
	if d.latest != nil {
		close(d.latest.newer)
	}
	d.puts++
	n.id, n.newer, n.soon, n.saying = fmt.Sprintf("%d.%d", d.birth, d.puts), make(chan struct{}), &early{}, &d.saying
	d.latest = n
	if d.interrupt != nil {
		d.interrupt()
	}
	d.mu.Unlock()
	select {
	case d.wake <- struct{}{}:
	default: // it is to wake up already
	}
}

// close ends the document's goroutine, and all that is asked about it. It is called
// once, after the last put.
func (d *document) close() {
	d.cancel()
	close(d.newest().newer)
}

// whileNewest gives a context that ends when the snapshot is no longer the newest.
func (n *snapshot) whileNewest(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(ctx)
	go func() {
		defer cancel()
		select {
		case <-n.newer:
		case <-ctx.Done():
		}
	}()
	return ctx, cancel
}

// begin takes the newest snapshot to work on, under a context that ends as soon
// as there is a newer one.
func (d *document) begin(ctx context.Context) (*snapshot, context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(ctx)
	d.mu.Lock()
	defer d.mu.Unlock()
	d.interrupt = cancel
	return d.latest, ctx, cancel
}

// snapshotOf gives the newest snapshot of an open document.
func (s *session) snapshotOf(uri string) (*snapshot, error) {
	s.mu.Lock()
	d := s.docs[uri]
	s.mu.Unlock()
	if d == nil {
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "not an open document: %s", uri)
	}
	return d.newest(), nil
}

// isNewest says whether a text is still the one that the client has.
func (s *session) isNewest(n *snapshot) bool {
	now, err := s.snapshotOf(n.uri)
	return err == nil && bytes.Equal(now.text(), n.text())
}

// didOpen takes over a document. One that is open already is begun afresh: the
// client knows best.
func (s *session) didOpen(params json.RawMessage) error {
	var p wire.DidOpenParams
	if err := decode(params, &p); err != nil {
		return err
	}
	doc := p.TextDocument
	if doc.URI == "" {
		return errors.New("opened without a name")
	}
	file := syntax.Parse([]byte(doc.Text))
	s.mu.Lock()
	defer s.mu.Unlock()
	if old := s.docs[doc.URI]; old != nil {
		s.log.Warn("opened twice", zap.String("uri", doc.URI))
		s.endDocument(doc.URI, old)
	}
	first := &snapshot{
		uri: doc.URI, version: doc.Version,
		lines: lines{file, s.editor.encoding},
		told:  &tokensTold{},
		pass:  newPass(s.analyse, s.settingsFor(doc.URI), file),
	}
	ctx, cancel := context.WithCancel(s.ctx)
	s.births++
	d := &document{birth: s.births, cancel: cancel, ended: make(chan struct{}), wake: make(chan struct{}, 1)}
	d.put(first)
	s.docs[doc.URI] = d
	go s.watch(ctx, d, doc.URI, s.ending[doc.URI])
	return nil
}

// didChange applies the steps of one change in their order. What the client
// sends is what counts: a version that does not grow is logged and used all the
// same, for to leave a change out would let the two texts drift apart.
func (s *session) didChange(params json.RawMessage) error {
	var p wire.DidChangeParams
	if err := decode(params, &p); err != nil {
		return err
	}
	s.mu.Lock()
	d := s.docs[p.TextDocument.URI]
	s.mu.Unlock()
	if d == nil {
		return fmt.Errorf("changed but not open: %s", p.TextDocument.URI)
	}
	now := d.newest().lines // only the reader, which this is, puts another text there
	at := (*typing)(nil)
	edits := make([]edit, 0, len(p.ContentChanges))
	for _, c := range p.ContentChanges {
		span := score.Span{Start: 0, End: len(now.text())}
		if c.Range != nil {
			span = now.span(*c.Range)
		}
		now = now.edit(span, c.Text)
		at = typed(c.Range != nil, span.Start+len(c.Text))
		edits = append(edits, edit{span, now.file})
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	old := d.newest() // with the settings of now
	if v, was := p.TextDocument.Version, old.version; v != nil && was != nil && *v <= *was {
		s.log.Warn("version does not grow", zap.String("uri", old.uri), zap.Int32("was", int32(*was)), zap.Int32("is", int32(*v)))
	}
	next := *old
	next.version, next.lines = p.TextDocument.Version, now
	if len(edits) > 0 {
		next.typing = at
	}
	next.pass = old.pass.after(edits, old.pass.settings)
	d.put(&next)
	return nil
}

// didSave ends the patience with what is being typed.
func (s *session) didSave(params json.RawMessage) error {
	var p wire.DocumentParams
	if err := decode(params, &p); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.docs[p.TextDocument.URI]
	if d == nil {
		return fmt.Errorf("saved but not open: %s", p.TextDocument.URI)
	}
	if old := d.newest(); old.typing != nil {
		next := *old
		next.typing = nil
		d.put(&next)
	}
	return nil
}

// didClose lets go of a document; its list of findings is cleared.
func (s *session) didClose(params json.RawMessage) error {
	var p wire.DocumentParams
	if err := decode(params, &p); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.docs[p.TextDocument.URI]
	if d == nil {
		return fmt.Errorf("closed but not open: %s", p.TextDocument.URI)
	}
	s.endDocument(p.TextDocument.URI, d)
	return nil
}

// endDocument is called with s.mu held.
func (s *session) endDocument(uri string, d *document) {
	delete(s.docs, uri)
	s.ending[uri] = d.ended
	d.close()
}

// reread analyses every open document again, with the settings of now. It is
// called with s.mu held.
func (s *session) reread() {
	s.generation++
	s.refreshPull()
	for uri, d := range s.docs {
		next := *d.newest()
		next.pass = next.pass.after(nil, s.settingsFor(uri))
		d.put(&next)
	}
	if s.welcomed {
		go s.refreshFeatures(s.editor.features)
	}
}

// edit replaces a span of a text by what stands there in a file.
type edit struct {
	span score.Span
	file *syntax.File
}
