package lsp

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// turning is a part whose first bar turns back at a tempo that allows no turn;
// characters of two, three and four bytes stand before its second figure.
const turning = `X:1
T:Turning
M:4/4
L:1/16
Q:1/4=144
%%score {RH LH}
V:RH clef=treble name="Harp"
V:LH clef=bass
K:F
V:RH
FAfc FAfc GBgd GBgd | f8 z8 |
"^é ♯ 🎵" FAfc FAfc GBgd GBgd | f8 z8 |
V:LH
F,16 | z16 | F,16 | z16 |
`

// ferry is the demo that a composer who thinks in piano would write.
func ferry(t *testing.T) string {
	text, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "ferry-at-dusk.abc"))
	require.NoError(t, err)
	return string(text)
}

// ofRule are the findings of one rule.
func ofRule(list []lsptest.Diagnostic, rule string) (some []lsptest.Diagnostic) {
	for _, d := range list {
		if d.Code == rule {
			some = append(some, d)
		}
	}
	return some
}

// under is the text that a range marks.
func under(text string, r lsptest.Range) string {
	return text[lsptest.Offset(text, r.Start):lsptest.Offset(text, r.End)]
}

func TestDiagnosticsMarkTheNotes(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, turning))
	turns := ofRule(k.diagnostics(uri), "hands/turn")
	require.Len(t, turns, 2)
	for _, d := range turns {
		assert.Equal(t, "fourfold", d.Source)
		assert.NotZero(t, d.Severity)
		assert.Contains(t, d.Message, "turns back")
		assert.Contains(t, d.Message, "holds up to")
	}
	plain, prefixed := turns[0].Range, turns[1].Range
	assert.Equal(t, under(turning, plain), under(turning, prefixed))
	const units = len(`"^`) + 1 + 1 + 1 + 1 + 2 + len(`" `) // é, blank, ♯, blank, and two for the emoji
	assert.Equal(t, plain.Start.Character+units, prefixed.Start.Character)
}

// A client that counts bytes gets bytes, and one that lists both as well.
func TestUTF8IsAgreedOn(t *testing.T) {
	k := begin(t, nil)
	k2 := start(t, `{"general":{"positionEncodings":["utf-32","utf-8","utf-16"]}}`)
	var result struct {
		Capabilities struct{ PositionEncoding string }
	}
	require.NoError(t, k.Initialize(k.ctx, `{"general":{"positionEncodings":["utf-8"]}}`, &result))
	assert.Equal(t, "utf-8", result.Capabilities.PositionEncoding)

	require.NoError(t, k2.Open(uri, turning))
	turns := ofRule(k2.diagnostics(uri), "hands/turn")
	require.Len(t, turns, 2)
	assert.Equal(t, turns[0].Range.Start.Character+len(`"^é ♯ 🎵" `), turns[1].Range.Start.Character)
}

// A client that likes characters best, and cannot count bytes, gets characters.
func TestUTF32IsAgreedOn(t *testing.T) {
	k := start(t, `{"general":{"positionEncodings":["utf-32","utf-16"]}}`)
	require.NoError(t, k.Open(uri, turning))
	turns := ofRule(k.diagnostics(uri), "hands/turn")
	require.Len(t, turns, 2)
	assert.Equal(t, turns[0].Range.Start.Character+len([]rune(`"^é ♯ 🎵" `)), turns[1].Range.Start.Character)
	assert.Equal(t, "utf-16", encodingFor("", []string{"utf-16", "utf-32"}))
	assert.Equal(t, "utf-16", encodingFor("", []string{"utf-7"}))
}

// Related places are told to clients that can show them, and to no others.
func TestRelatedInformation(t *testing.T) {
	text := ferry(t)
	for _, c := range []struct {
		capabilities string
		related      bool
	}{{editorUTF16, true}, {"{}", false}} {
		k := start(t, c.capabilities)
		require.NoError(t, k.Open(uri, text))
		clash := ofRule(k.diagnostics(uri), "feet/two-at-once")
		require.NotEmpty(t, clash)
		if !c.related {
			assert.Empty(t, clash[0].Related)
			continue
		}
		var related []struct {
			Location struct {
				URI   string
				Range lsptest.Range
			}
			Message string
		}
		require.NoError(t, json.Unmarshal(clash[0].Related, &related))
		require.NotEmpty(t, related)
		assert.Equal(t, uri, related[0].Location.URI)
		assert.NotEmpty(t, related[0].Message)
		assert.NotEmpty(t, strings.TrimSpace(under(text, related[0].Location.Range)))
	}
}

func TestHover(t *testing.T) {
	note, err := lsptest.Find(turning, "FAfc", 2)
	require.NoError(t, err)
	for _, c := range []struct{ capabilities, kind string }{
		{editorUTF16, "markdown"},
		{`{"textDocument":{"hover":{"contentFormat":["plaintext"]}}}`, "plaintext"},
		{`{}`, "plaintext"},
	} {
		k := start(t, c.capabilities)
		require.NoError(t, k.Open(uri, turning))
		kind, card, err := k.Hover(k.ctx, uri, note.Start)
		require.NoError(t, err)
		assert.Equal(t, c.kind, kind)
		for _, part := range []string{"hand", "bar 3", "beat 1", "finger", "note", "F4", "Order", "Next", "♩ = 144", "holds up to ♩ ="} {
			assert.Contains(t, card, part)
		}
		assert.Equal(t, c.kind == "markdown", strings.Contains(card, "**"))

		_, card, err = k.Hover(k.ctx, uri, lsptest.Position{Line: 1, Character: 3})
		require.NoError(t, err)
		assert.Empty(t, card, "there is no note in a title")
	}
}

// Every client sends something else: all find the fix.
func TestCodeActions(t *testing.T) {
	first := func(k *talk) lsptest.Diagnostic { return ofRule(k.diagnostics(uri), "hands/turn")[0] }
	cursor := func(d lsptest.Diagnostic) lsptest.Range {
		return lsptest.Range{Start: d.Range.Start, End: d.Range.Start}
	}
	for _, c := range []struct {
		name string
		ask  func(k *talk, d lsptest.Diagnostic) ([]lsptest.Action, error)
	}{
		{"all fields, empty range", func(k *talk, d lsptest.Diagnostic) ([]lsptest.Action, error) {
			return k.Actions(k.ctx, uri, cursor(d), d)
		}},
		{"range, code and message alone", func(k *talk, d lsptest.Diagnostic) ([]lsptest.Action, error) {
			return k.Actions(k.ctx, uri, cursor(d), map[string]any{"range": d.Range, "code": d.Code, "message": d.Message})
		}},
		{"the whole document", func(k *talk, d lsptest.Diagnostic) ([]lsptest.Action, error) {
			return k.Actions(k.ctx, uri, whole, map[string]any{"range": d.Range, "code": d.Code, "severity": d.Severity, "source": d.Source})
		}},
		{"no diagnostics", func(k *talk, d lsptest.Diagnostic) ([]lsptest.Action, error) {
			return k.Actions(k.ctx, uri, cursor(d))
		}},
		{"somebody else's diagnostics", func(k *talk, d lsptest.Diagnostic) ([]lsptest.Action, error) {
			return k.Actions(k.ctx, uri, cursor(d), map[string]any{"range": d.Range, "code": 404, "message": "spelling"})
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := start(t, editorUTF16)
			require.NoError(t, k.Open(uri, turning))
			d := first(k)
			actions, err := c.ask(k, d)
			require.NoError(t, err)
			require.NotEmpty(t, actions)
			assert.Equal(t, "quickfix", actions[0].Kind)
			assert.True(t, actions[0].IsPreferred)
			require.NoError(t, k.Accept(actions[0]))
			assert.Len(t, ofRule(k.diagnostics(uri), "hands/turn"), 1, "of two findings the other one stays")
		})
	}
}

// The edit has the form that the client reads, and is for the text it has.
func TestCodeActionEditForms(t *testing.T) {
	for _, versioned := range []bool{false, true} {
		capabilities := "{}"
		if versioned {
			capabilities = editorUTF16
		}
		k := start(t, capabilities)
		require.NoError(t, k.Open(uri, turning))
		d := ofRule(k.diagnostics(uri), "hands/turn")[0]
		actions, err := k.Actions(k.ctx, uri, d.Range, d)
		require.NoError(t, err)
		require.NotEmpty(t, actions)
		if !versioned {
			assert.Empty(t, actions[0].Edit.DocumentChanges)
			assert.NotEmpty(t, actions[0].Edit.Changes[uri])
			continue
		}
		assert.Empty(t, actions[0].Edit.Changes)
		require.Len(t, actions[0].Edit.DocumentChanges, 1)
		assert.Equal(t, 1, *actions[0].Edit.DocumentChanges[0].TextDocument.Version)
	}
}

func TestCodeActionKinds(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, turning))
	d := ofRule(k.diagnostics(uri), "hands/turn")[0]
	ask := func(only ...string) (actions []lsptest.Action) {
		require.NoError(t, k.Request(k.ctx, "textDocument/codeAction", map[string]any{
			"textDocument": docID(uri), "range": d.Range,
			"context": map[string]any{"diagnostics": []any{d}, "only": only}}, &actions))
		return actions
	}
	assert.NotEmpty(t, ask())
	assert.NotEmpty(t, ask("quickfix"))
	assert.NotEmpty(t, ask("refactor", "quickfix"))
	assert.NotEmpty(t, ask(""))
	assert.Equal(t, []lsptest.Action{}, ask("refactor.extract"), "an empty list, not null")
	assert.Equal(t, []lsptest.Action{}, ask("quick"))
	assert.Equal(t, []lsptest.Action{}, ask("source.organizeImports"))
}

// A diagnostic comes back with its action as the client sent it, data and all.
func TestCodeActionKeepsTheDiagnostic(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, turning))
	d := ofRule(k.diagnostics(uri), "hands/turn")[0]
	sent := map[string]any{"range": d.Range, "code": d.Code, "message": "", "data": json.RawMessage(`{"n":9007199254740993}`)}
	actions, err := k.Actions(k.ctx, uri, d.Range, sent)
	require.NoError(t, err)
	require.NotEmpty(t, actions)
	want, err := json.Marshal(sent)
	require.NoError(t, err)
	require.Len(t, actions[0].Diagnostics, 1)
	assert.Contains(t, string(actions[0].Diagnostics[0]), "9007199254740993")
	assert.JSONEq(t, string(want), string(actions[0].Diagnostics[0]))
}

// Line ends of the document are never cut in two, and the answers are the same
// with every kind of them.
func TestLineEndsOfAllKinds(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, turning))
	want := k.diagnostics(uri)
	for name, end := range map[string]string{"cr-lf:": "\r\n", "cr:": "\r"} {
		require.NoError(t, k.Open(name, strings.ReplaceAll(turning, "\n", end)))
		got := k.diagnostics(name)
		require.Len(t, got, len(want), name)
		for i := range want {
			assert.Equal(t, want[i].Range, got[i].Range, name)
			assert.Equal(t, want[i].Message, got[i].Message, name)
		}
	}
}
