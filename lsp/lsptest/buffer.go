package lsptest

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Position is a line and a column in UTF-16 units, from 0.
type Position struct {
	Line      int `json:"line"`
	Character int `json:"character"`
}

// Range is half-open.
type Range struct {
	Start Position `json:"start"`
	End   Position `json:"end"`
}

// TextEdit replaces a range.
type TextEdit struct {
	Range   Range  `json:"range"`
	NewText string `json:"newText"`
}

// Buffer is an open document as the editor has it.
type Buffer struct {
	Text    string
	Version int
}

// Offset gives the byte of a position. It walks the text from the start, by the
// letter of the specification; a column inside a character is its start.
func Offset(text string, p Position) int {
	i := 0
	for line := 0; line < p.Line && i < len(text); i++ {
		if text[i] == '\n' || text[i] == '\r' && !strings.HasPrefix(text[i+1:], "\n") {
			line++
		}
	}
	for units := 0; units < p.Character && i < len(text) && text[i] != '\n' && text[i] != '\r'; {
		r, n := utf8.DecodeRuneInString(text[i:])
		if units += utf16.RuneLen(r); units <= p.Character {
			i += n
		}
	}
	return i
}

// At gives the position of a byte.
func At(text string, offset int) Position {
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text[:offset]), "\n")
	last := lines[len(lines)-1]
	return Position{Line: len(lines) - 1, Character: len(utf16.Encode([]rune(last)))}
}

// Find gives the range of the n-th place, from 0, where a piece of text stands.
func Find(text, piece string, n int) (Range, error) {
	from := 0
	for {
		i := strings.Index(text[from:], piece)
		if i < 0 {
			return Range{}, fmt.Errorf("%q does not stand there", piece)
		}
		if n == 0 {
			return Range{At(text, from+i), At(text, from+i+len(piece))}, nil
		}
		from, n = from+i+len(piece), n-1
	}
}

// Initialize opens the session with the capabilities given as JSON.
func (c *Client) Initialize(ctx context.Context, capabilities string, result any) error {
	params := map[string]any{"processId": nil, "rootUri": nil, "capabilities": json.RawMessage(capabilities)}
	if err := c.Request(ctx, "initialize", params, result); err != nil {
		return err
	}
	return c.Notify("initialized", struct{}{})
}

// Open opens a document at version 1.
func (c *Client) Open(uri, text string) error { return c.OpenAt(uri, text, 1) }

// OpenAt opens a document at a version.
func (c *Client) OpenAt(uri, text string, version int) error {
	c.buffers[uri] = &Buffer{Text: text, Version: version}
	return c.Notify("textDocument/didOpen", map[string]any{"textDocument": map[string]any{
		"uri": uri, "languageId": "abc", "version": version, "text": text}})
}

// CloseDocument closes a document and lets go of its buffer.
func (c *Client) CloseDocument(uri string) error {
	delete(c.buffers, uri)
	return c.Notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": uri}})
}

// Buffer is what the editor holds.
func (c *Client) Buffer(uri string) *Buffer { return c.buffers[uri] }

// Edit applies edits one after another to the buffer and sends them as one
// change.
func (c *Client) Edit(uri string, edits ...TextEdit) error {
	b := c.buffers[uri]
	b.Version++
	var changes []map[string]any
	for _, e := range edits {
		b.Text = apply(b.Text, e)
		changes = append(changes, map[string]any{"range": e.Range, "text": e.NewText})
	}
	return c.change(uri, b.Version, changes)
}

// Replace sends the whole text.
func (c *Client) Replace(uri, text string) error {
	b := c.buffers[uri]
	b.Version++
	b.Text = text
	return c.change(uri, b.Version, []map[string]any{{"text": text}})
}

func (c *Client) change(uri string, version int, changes any) error {
	return c.Notify("textDocument/didChange", map[string]any{
		"textDocument": map[string]any{"uri": uri, "version": version}, "contentChanges": changes})
}

func apply(text string, e TextEdit) string {
	return text[:Offset(text, e.Range.Start)] + e.NewText + text[Offset(text, e.Range.End):]
}

// AwaitDiagnostics waits for the list about the buffer's present version.
func (c *Client) AwaitDiagnostics(ctx context.Context, uri string) ([]Diagnostic, error) {
	var list []Diagnostic
	version := c.buffers[uri].Version
	err := c.Await(ctx, func(s State) bool {
		p, ok := s.Last(uri)
		list = p.Diagnostics
		return ok && p.Version != nil && *p.Version == version
	})
	return list, err
}

// Hover asks for the card at a place; "" where there is none.
func (c *Client) Hover(ctx context.Context, uri string, at Position) (kind, text string, err error) {
	var h struct {
		Contents struct{ Kind, Value string }
	}
	err = c.Request(ctx, "textDocument/hover", map[string]any{
		"textDocument": map[string]any{"uri": uri}, "position": at}, &h)
	return h.Contents.Kind, h.Contents.Value, err
}

// EditBlind sends an edit without making it in the buffer's text, whose size
// would otherwise be measured along with the server. The version counts on.
func (c *Client) EditBlind(uri string, e TextEdit) error {
	b := c.buffers[uri]
	b.Version++
	return c.change(uri, b.Version, []map[string]any{{"range": e.Range, "text": e.NewText}})
}
