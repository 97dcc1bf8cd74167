package soak

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	"fourfold/lsp/lsptest"
)

// placesAsked is how often each question about a place is asked at a checkpoint.
const placesAsked = 4

// checkpoint compares all that the server says about the open documents with what
// a fresh server says, and measures its memory.
func (d *driver) checkpoint() error {
	if err := d.collect(); err != nil {
		return err
	}
	// What is being typed is no longer spared, and all settings are known.
	if err := d.server.Notify("workspace/didChangeConfiguration", map[string]any{
		"settings": json.RawMessage(`{"fourfold":{"hand":"typical","severity":{}}}`)}); err != nil {
		return err
	}
	fresh, _, err := d.start()
	if err != nil {
		return err
	}
	defer fresh.stop()
	for _, doc := range d.docs {
		if err := d.server.Notify("textDocument/didSave", map[string]any{"textDocument": doc.name()}); err != nil {
			return err
		}
		// A version of its own shows which list is about the document as it is now.
		d.next(doc)
		if err := d.server.Edit(doc.uri); err != nil {
			return err
		}
		if err := d.compare(fresh, doc); err != nil {
			return err
		}
		doc.first, doc.edits = doc.buffer.Text, nil
	}
	d.Memory = append(d.Memory, d.server.memory())
	if len(d.Memory)%20 == 0 {
		d.plan.Tell("step %d: %d answers compared", d.Steps, d.Compared)
	}
	return nil
}

// compare asks both servers everything about a document.
func (d *driver) compare(fresh *server, doc *document) error {
	ctx, cancel := context.WithTimeout(d.ctx, waiting)
	defer cancel()
	if err := fresh.OpenAt(doc.uri, doc.buffer.Text, doc.buffer.Version); err != nil {
		return err
	}
	// Right after opening, a card tells less than it does once the whole is read.
	if err := whole(ctx, fresh, doc); err != nil {
		return err
	}
	if !d.plan.Pulls {
		if err := d.told(ctx, doc); err != nil {
			return err
		}
	} else if err := whole(ctx, d.server, doc); err != nil {
		return err
	}
	r := typist{rand.New(rand.NewPCG(d.plan.Seed, uint64(d.Steps))), d.scores}
	for _, q := range d.asks {
		for range placesAsked {
			params := q.params(doc, r)
			worn, wornRaw, err := answer(ctx, d.server, q.method, params)
			if err != nil {
				return fmt.Errorf("%s: %w", q.method, err)
			}
			want, wantRaw, err := answer(ctx, fresh, q.method, params)
			if err != nil {
				return fmt.Errorf("%s of a fresh server: %w", q.method, err)
			}
			d.same(doc, q.method, params, worn, want)
			if err := d.resolve(ctx, fresh, doc, wornRaw, wantRaw); err != nil {
				return err
			}
			if _, everywhere := params["position"]; !everywhere && params["range"] == nil {
				break // the same question again
			}
		}
	}
	return nil
}

// whole pulls until what is given is what the whole score says, and not only the
// music around the last edit.
func whole(ctx context.Context, p *server, doc *document) error {
	for previous := ""; ; {
		r, err := p.Pull(ctx, doc.uri, previous)
		if err != nil || r.Kind == "unchanged" || !strings.HasSuffix(r.ResultID, "~") {
			return err
		}
		previous = r.ResultID
		time.Sleep(time.Millisecond)
	}
}

// told asserts that what was pushed last is what the whole score says: a list about the
// music around the last edit may stand before it, and must be put right.
func (d *driver) told(ctx context.Context, doc *document) error {
	var pulled struct{ Items json.RawMessage }
	if err := d.server.Request(ctx, "textDocument/diagnostic", map[string]any{"textDocument": doc.name()}, &pulled); err != nil {
		return err
	}
	want, last := comparable(pulled.Items), ""
	err := d.server.Await(ctx, func(s lsptest.State) bool {
		p, ok := s.Last(doc.uri)
		var pushed struct{ Diagnostics json.RawMessage }
		if !ok || p.Version == nil || *p.Version != doc.buffer.Version || json.Unmarshal([]byte(p.Raw), &pushed) != nil {
			return false
		}
		last = comparable(pushed.Diagnostics)
		return last == want
	})
	if errors.Is(err, context.DeadlineExceeded) {
		d.same(doc, "textDocument/publishDiagnostics", nil, last, want)
		return nil
	}
	return err
}

// answer is the answer to a request, be it a result or an error: what of it can be
// compared, and the result as it came.
func answer(ctx context.Context, p *server, method string, params any) (string, json.RawMessage, error) {
	id, err := p.Ask(method, params)
	if err != nil {
		return "", nil, err
	}
	a, err := p.AwaitAnswer(ctx, id)
	switch {
	case err != nil:
		return "", nil, err
	case a.Error != nil:
		return a.Error.Error(), nil, nil
	}
	return comparable(a.Result), a.Result, nil
}

// resolve compares the edits of the first code action that is for one place: those
// for many are searched for as long as the clock allows, and the two servers may
// come to different ends.
func (d *driver) resolve(ctx context.Context, fresh *server, doc *document, worn, want json.RawMessage) error {
	type action struct {
		Data *struct{ What string }
	}
	var of [2][]json.RawMessage
	if json.Unmarshal(worn, &of[0]) != nil || json.Unmarshal(want, &of[1]) != nil || len(of[0]) != len(of[1]) {
		return nil
	}
	for i := range of[0] {
		var a action
		if json.Unmarshal(of[0][i], &a) != nil || a.Data == nil || a.Data.What != "fix" && a.Data.What != "allow" {
			continue
		}
		one, _, err := answer(ctx, d.server, "codeAction/resolve", of[0][i])
		if err != nil {
			return err
		}
		other, _, err := answer(ctx, fresh, "codeAction/resolve", of[1][i])
		if err != nil {
			return err
		}
		d.same(doc, "codeAction/resolve", of[0][i], one, other)
		return nil
	}
	return nil
}

// same notes a fault where the two servers differ.
func (d *driver) same(doc *document, method string, params any, worn, want string) {
	d.Compared++
	if worn == want {
		return
	}
	asked, err := json.Marshal(params)
	if err != nil {
		asked = []byte(err.Error())
	}
	at := 0
	for at < min(len(worn), len(want)) && worn[at] == want[at] {
		at++
	}
	show := func(s string) string { return s[max(0, min(len(s), at)-200):min(len(s), at+200)] }
	d.fault("%s %s\n  worn:  …%s\n  fresh: …%s\n  the text: %s", method, asked, show(worn), show(want), d.keep(doc))
}
