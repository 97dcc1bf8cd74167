package soak

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"fourfold/lsp/lsptest"
)

// Plan says how a run goes.
type Plan struct {
	Binary  string
	Scores  []string
	Steps   int
	Every   int    // steps between checkpoints
	Seed    uint64 // the same seed makes the same steps
	Pulls   bool   // the client pulls its diagnostics
	Faults  string // a folder for texts that show a fault
	MostBad int    // faults after which the run gives up
	Tell    func(format string, args ...any)
}

// Outcome is what a run did and found.
type Outcome struct {
	Steps, Edits, Requests, Cancelled, Compared int
	Refused                                     map[string]int // answers that were errors, by code
	Memory                                      []Memory       // at each checkpoint
	Faults                                      []string
}

// waiting bounds how long an answer may take before it is said never to come.
const waiting = 2 * time.Minute

// mostOpen and mostPending bound what is open at once: documents, and requests.
const (
	mostOpen    = 5
	mostPending = 100
	mostUndo    = 20
)

// driver is the editor of a run.
type driver struct {
	Outcome
	typist
	plan    Plan
	ctx     context.Context
	server  *server
	asks    []question
	docs    []*document
	version int // of the last change of any document; never used twice
	names   int
	pending map[string]question
}

// document is one that is open, with what led to its text.
type document struct {
	uri    string
	buffer *lsptest.Buffer
	first  string               // the text at the last checkpoint
	edits  [][]lsptest.TextEdit // since then
	before []string
}

func (d *document) name() map[string]any { return map[string]any{"uri": d.uri} }

// position is a place in the text, now and then outside of it.
func (d *document) position(r typist) lsptest.Position {
	p := lsptest.At(d.buffer.Text, r.place(d.buffer.Text))
	switch r.IntN(30) {
	case 0:
		p.Character += r.IntN(100)
	case 1:
		p.Line += r.IntN(100)
	}
	return p
}

// Run wears a server out. An error is one of the run itself; what the server does
// wrong stands in the outcome.
func Run(ctx context.Context, plan Plan) (Outcome, error) {
	d := &driver{plan: plan, ctx: ctx, pending: map[string]question{},
		typist: typist{rand.New(rand.NewPCG(plan.Seed, 5)), plan.Scores}}
	d.Refused = map[string]int{}
	server, capabilities, err := d.start()
	if err != nil {
		return d.Outcome, err
	}
	d.server = server
	defer server.stop()
	server.KeepLast()
	d.asks = declared(capabilities)
	for d.Steps < plan.Steps && len(d.Faults) < max(1, plan.MostBad) {
		if err := d.step(); err != nil {
			return d.Outcome, fmt.Errorf("step %d: %w\n%s", d.Steps, err, server.log.text())
		}
		d.Steps++
		if d.Steps%plan.Every == 0 {
			if err := d.checkpoint(); err != nil {
				return d.Outcome, fmt.Errorf("checkpoint at step %d: %w\n%s", d.Steps, err, server.log.text())
			}
		}
	}
	return d.Outcome, d.leave()
}

// start starts a server as this run's client.
func (d *driver) start() (*server, map[string]json.RawMessage, error) {
	p, err := newServer(d.plan.Binary)
	if err != nil {
		return nil, nil, err
	}
	capabilities := `{"workspace":{"workspaceEdit":{"documentChanges":true},"diagnostics":{"refreshSupport":true}},"textDocument":{
		"hover":{"contentFormat":["markdown"]},"documentSymbol":{"hierarchicalDocumentSymbolSupport":true},
		"rename":{"prepareSupport":true},"codeAction":{"disabledSupport":true,"isPreferredSupport":true,"dataSupport":true,
			"resolveSupport":{"properties":["edit"]}},"publishDiagnostics":{"relatedInformation":true}%s}}`
	pull := ""
	if d.plan.Pulls {
		pull = `,"diagnostic":{}`
	}
	var result struct{ Capabilities map[string]json.RawMessage }
	if err := p.Initialize(d.ctx, fmt.Sprintf(capabilities, pull), &result); err != nil {
		return nil, nil, err
	}
	return p, result.Capabilities, nil
}

// step does one thing.
func (d *driver) step() error {
	if len(d.docs) == 0 || len(d.docs) < mostOpen && d.IntN(50) == 0 {
		return d.open()
	}
	doc := d.docs[d.IntN(len(d.docs))]
	switch n := d.IntN(1000); {
	case n < 620:
		return d.edit(doc)
	case n < 900:
		return d.ask(doc)
	case n < 960:
		return d.cancel()
	case n < 975:
		return d.server.Notify("textDocument/didSave", map[string]any{"textDocument": doc.name()})
	case n < 985:
		return d.close(doc)
	case n < 992:
		return d.replace(doc)
	case n < 995:
		settings := []string{`{"hand":"small"}`, `{"hand":"typical"}`, `{"severity":{"hands/tight":"off"}}`, `{"severity":{}}`, `null`}
		return d.server.Notify("workspace/didChangeConfiguration", map[string]any{
			"settings": map[string]any{"fourfold": json.RawMessage(settings[d.IntN(len(settings))])}})
	case n < 997:
		return d.server.Notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{map[string]any{"uri": doc.uri, "type": 2}}})
	default:
		return d.settle(doc)
	}
}

func (d *driver) open() error {
	d.names++
	doc := &document{uri: fmt.Sprintf("file:///soak/%%C3%%A9%%20%%23%%25/%d.abc", d.names%7)}
	for _, other := range d.docs {
		if other.uri == doc.uri {
			return nil
		}
	}
	d.version++
	doc.first = d.scores[d.IntN(len(d.scores))]
	d.docs = append(d.docs, doc)
	err := d.server.OpenAt(doc.uri, doc.first, d.version)
	doc.buffer = d.server.Buffer(doc.uri)
	return err
}

func (d *driver) close(doc *document) error {
	for i, other := range d.docs {
		if other == doc {
			d.docs = append(d.docs[:i], d.docs[i+1:]...)
			break
		}
	}
	return d.server.CloseDocument(doc.uri)
}

func (d *driver) edit(doc *document) error {
	old := doc.buffer.Text
	edits := d.typist.edit(old, doc.before)
	doc.edits = append(doc.edits, edits)
	if doc.before = append(doc.before, old); len(doc.before) > mostUndo {
		doc.before = doc.before[1:]
	}
	d.next(doc)
	d.Edits++
	if err := d.server.Edit(doc.uri, edits...); err != nil {
		return err
	}
	switch {
	case len(doc.buffer.Text) > longestScore+20_000:
		return d.replace(doc)
	case d.IntN(3) == 0 && !d.plan.Pulls:
		return d.settle(doc)
	}
	return nil
}

// next has the next change of a document bear a version that no other bears.
func (d *driver) next(doc *document) {
	doc.buffer.Version = d.version
	d.version++
}

// replace puts another score in the place of a document's text.
func (d *driver) replace(doc *document) error {
	doc.first, doc.edits, doc.before = d.scores[d.IntN(len(d.scores))], nil, nil
	d.next(doc)
	return d.server.Replace(doc.uri, doc.first)
}

// settle waits until the server has caught up with a document.
func (d *driver) settle(doc *document) error {
	ctx, cancel := context.WithTimeout(d.ctx, waiting)
	defer cancel()
	var err error
	if d.plan.Pulls {
		_, err = d.server.Pull(ctx, doc.uri, "")
	} else {
		_, err = d.server.AwaitDiagnostics(ctx, doc.uri)
	}
	return err
}

// ask sends a request and does not wait for the answer.
func (d *driver) ask(doc *document) error {
	if len(d.pending) >= mostPending {
		return d.collect()
	}
	q := d.asks[d.IntN(len(d.asks))]
	id, err := d.server.Ask(q.method, q.params(doc, d.typist))
	d.pending[id] = q
	d.Requests++
	return err
}

// cancel cancels a request that may be open, or has never been.
func (d *driver) cancel() error {
	id := "0"
	for id = range d.pending {
		break
	}
	d.Cancelled++
	return d.server.Notify("$/cancelRequest", map[string]any{"id": json.RawMessage(id)})
}

// collect takes in the answers to all open requests.
func (d *driver) collect() error {
	for id, q := range d.pending {
		ctx, cancel := context.WithTimeout(d.ctx, waiting)
		a, err := d.server.AwaitAnswer(ctx, id)
		cancel()
		if err != nil {
			return fmt.Errorf("%s: %w", q.method, err)
		}
		delete(d.pending, id)
		if a.Error == nil {
			continue
		}
		d.Refused[fmt.Sprint(a.Error.Code)]++
		switch a.Error.Code {
		case -32800, -32801, -32802, -32602: // cancelled, changed, ask again, closed
		default:
			if q.method != "textDocument/rename" && q.method != "textDocument/prepareRename" {
				d.fault("%s was answered with %v", q.method, a.Error)
			}
		}
	}
	return nil
}

// leave ends the session as an editor does, and looks at what the server wrote.
func (d *driver) leave() error {
	if err := d.collect(); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(d.ctx, waiting)
	defer cancel()
	if err := d.server.Request(ctx, "shutdown", nil, nil); err != nil {
		return err
	}
	if err := d.server.Notify("exit", nil); err != nil {
		return err
	}
	if err := d.server.Command.Wait(); err != nil {
		return fmt.Errorf("the server ended with %w", err)
	}
	if d.server.log.panicked() {
		d.fault("the server's log tells of a panic:\n%s", d.server.log.text())
	}
	return nil
}

// fault notes what the server did wrong.
func (d *driver) fault(format string, args ...any) {
	text := fmt.Sprintf("seed %d, step %d: ", d.plan.Seed, d.Steps) + fmt.Sprintf(format, args...)
	d.Faults = append(d.Faults, text)
	d.plan.Tell("%s", text)
}

// keep writes a document and the way to its text into the folder for faults.
func (d *driver) keep(doc *document) string {
	if d.plan.Faults == "" {
		return "not kept"
	}
	path := filepath.Join(d.plan.Faults, fmt.Sprintf("fault-%d-%d", d.plan.Seed, d.Steps))
	way, err := json.Marshal(map[string]any{"first": doc.first, "edits": doc.edits, "last": doc.buffer.Text})
	if err == nil {
		err = os.WriteFile(path+".json", way, 0o644)
	}
	if err == nil {
		err = os.WriteFile(path+".abc", []byte(doc.buffer.Text), 0o644)
	}
	if err != nil {
		return err.Error()
	}
	return path
}
