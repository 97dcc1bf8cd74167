package lsptest

import (
	"context"
	"encoding/json"
	"fmt"
	"sort"
)

// Action is a code action, with its edit in either form.
type Action struct {
	Title       string            `json:"title"`
	Kind        string            `json:"kind"`
	IsPreferred bool              `json:"isPreferred"`
	Diagnostics []json.RawMessage `json:"diagnostics"`
	Disabled    *struct{ Reason string }
	Data        json.RawMessage `json:"data"`
	Edit        struct {
		Changes         map[string][]TextEdit `json:"changes"`
		DocumentChanges []struct {
			TextDocument struct {
				URI     string `json:"uri"`
				Version *int   `json:"version"`
			} `json:"textDocument"`
			Edits []TextEdit `json:"edits"`
		} `json:"documentChanges"`
	} `json:"edit"`
	Raw json.RawMessage `json:"-"` // all of it as it came
}

// UnmarshalJSON keeps the raw text beside what is understood of it.
func (a *Action) UnmarshalJSON(data []byte) error {
	type plain Action
	if err := json.Unmarshal(data, (*plain)(a)); err != nil {
		return err
	}
	a.Raw = append(json.RawMessage(nil), data...)
	return nil
}

// HasEdit says whether an action brings its edit.
func (a Action) HasEdit() bool { return a.Edit.Changes != nil || a.Edit.DocumentChanges != nil }

// Accept applies a code action as an editor does: all edits are about the text
// as it is, and a version that is not the buffer's is refused.
func (c *Client) Accept(a Action) error {
	edits := a.Edit.Changes
	if edits == nil {
		edits = map[string][]TextEdit{}
	}
	for _, d := range a.Edit.DocumentChanges {
		b := c.buffers[d.TextDocument.URI]
		if b == nil || d.TextDocument.Version != nil && *d.TextDocument.Version != b.Version {
			return fmt.Errorf("%s: the edit is for another version", a.Title)
		}
		edits[d.TextDocument.URI] = d.Edits
	}
	for uri, list := range edits {
		b := c.buffers[uri]
		if b == nil {
			return fmt.Errorf("%s: no such buffer: %s", a.Title, uri)
		}
		sort.SliceStable(list, func(i, j int) bool { // from the end, so that none moves another
			x, y := list[i].Range.Start, list[j].Range.Start
			return x.Line > y.Line || x.Line == y.Line && x.Character > y.Character
		})
		if err := c.Edit(uri, list...); err != nil {
			return err
		}
	}
	return nil
}

// Actions asks for the quick fixes at a range, with the diagnostics given.
func (c *Client) Actions(ctx context.Context, uri string, r Range, diagnostics ...any) ([]Action, error) {
	if diagnostics == nil {
		diagnostics = []any{}
	}
	var actions []Action
	err := c.Request(ctx, "textDocument/codeAction", map[string]any{
		"textDocument": map[string]any{"uri": uri}, "range": r,
		"context": map[string]any{"diagnostics": diagnostics}}, &actions)
	return actions, err
}

// ActionsOf asks for code actions with a context of the test's own making: such as
// only and triggerKind.
func (c *Client) ActionsOf(ctx context.Context, uri string, r Range, context map[string]any) ([]Action, error) {
	if context["diagnostics"] == nil {
		context["diagnostics"] = []any{}
	}
	var actions []Action
	err := c.Request(ctx, "textDocument/codeAction", map[string]any{
		"textDocument": map[string]any{"uri": uri}, "range": r, "context": context}, &actions)
	return actions, err
}

// Resolve asks for what a listed action lacks, as an editor does when it is picked.
func (c *Client) Resolve(ctx context.Context, a Action) (Action, error) {
	var whole Action
	err := c.Request(ctx, "codeAction/resolve", a.Raw, &whole)
	return whole, err
}
