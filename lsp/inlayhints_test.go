package lsp

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// pedalled is a part whose F moves once, in the left hand's second bar, and whose
// first bar ends with a chord.
const pedalled = `X:1
T:Pedals
M:4/4
L:1/8
Q:1/4=60
%%score {RH LH}
V:RH name=Harp
V:LH clef=bass
K:C
V:RH
CEGc [CEG]2 ^F2 | c4 z4 |
V:LH
z8 | F,8 |
`

// inlayHint is a hint as a client reads it.
type inlayHint struct {
	Position lsptest.Position
	Label    string
	Tooltip  string
}

// whole is the range of any document.
var whole = lsptest.Range{End: lsptest.Position{Line: 1 << 30}}

func (k *talk) hints(r lsptest.Range) (hints []inlayHint) {
	k.t.Helper()
	require.NoError(k.t, k.Request(k.ctx, "textDocument/inlayHint", map[string]any{"textDocument": docID(uri), "range": r}, &hints))
	return hints
}

// labelled are the hints whose label contains a text, as the text that follows
// them on their line.
func labelled(text string, hints []inlayHint, label string) (after []string) {
	for _, h := range hints {
		if strings.Contains(h.Label, label) {
			line, _, _ := strings.Cut(text[lsptest.Offset(text, h.Position):], "\n")
			after = append(after, line)
		}
	}
	return after
}

func TestInlayHints(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, pedalled))
	hints := k.hints(whole)
	assert.Equal(t, []string{"c [CEG]2 ^F2 | c4 z4 |"}, labelled(pedalled, hints, "¹")[:1], "the thumb takes the top")
	assert.Equal(t, "CEGc [CEG]2 ^F2 | c4 z4 |", labelled(pedalled, hints, "⁴")[0])
	assert.Equal(t, " [CEG]2 ^F2 | c4 z4 |", labelled(pedalled, hints, "⟩")[0])
	assert.Equal(t, []string{"F,8 |"}, labelled(pedalled, hints, "ped. F♮"))
	for i, h := range hints {
		assert.NotEmpty(t, h.Tooltip)
		if i > 0 {
			assert.LessOrEqual(t, lsptest.Offset(pedalled, hints[i-1].Position), lsptest.Offset(pedalled, h.Position))
		}
	}
	var here []string
	for _, h := range hints {
		if strings.HasPrefix(pedalled[lsptest.Offset(pedalled, h.Position):], "F,8") {
			here = append(here, h.Label)
		}
	}
	assert.Equal(t, []string{"ped. F♮", "¹"}, here, "what moves before a note stands before its finger")
}

func TestInlayHintsOfARange(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, pedalled))
	line, err := lsptest.Find(pedalled, "z8 | F,8 |", 0)
	require.NoError(t, err)
	hints := k.hints(line)
	require.NotEmpty(t, hints)
	for _, h := range hints {
		assert.Equal(t, line.Start.Line, h.Position.Line)
	}
	none := k.hints(lsptest.Range{End: lsptest.Position{Line: 1}})
	assert.NotNil(t, none)
	assert.Empty(t, none)
}

// Notes that the other hand takes say so.
func TestInlayHintsOfTheOtherHand(t *testing.T) {
	text := strings.Replace(pedalled, "^F2", `"_L.H."C2`, 1)
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, text))
	assert.Equal(t, []string{"C2 | c4 z4 |"}, labelled(text, k.hints(whole), "L.H."))
}

// Each kind can be switched off, in the editor or in the score, and the client is
// asked to ask again.
func TestInlayHintsAreSettings(t *testing.T) {
	text := strings.Replace(pedalled, "^F2", `"_L.H."C2`, 1)
	for setting, label := range map[string]string{"fingers": "¹", "placings": "⟩", "hands": "L.H.", "pedals": "ped."} {
		t.Run(setting, func(t *testing.T) {
			text := text
			if setting == "pedals" {
				text = pedalled
			}
			k := start(t, `{"workspace":{"inlayHint":{"refreshSupport":true},"codeLens":{"refreshSupport":true}}}`)
			require.NoError(t, k.Open(uri, text))
			require.NotEmpty(t, labelled(text, k.hints(whole), label))
			require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{
				"settings": map[string]any{"fourfold": map[string]any{"hints": map[string]any{setting: "off"}}}}))
			k.await(func(s lsptest.State) bool {
				return s.Asked("workspace/inlayHint/refresh") == 1 && s.Asked("workspace/codeLens/refresh") == 1
			})
			hints := k.hints(whole)
			assert.Empty(t, labelled(text, hints, label))
			assert.NotEmpty(t, hints, "the other kinds stay")

			require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{
				"settings": map[string]any{"fourfold": map[string]any{"hints": map[string]any{setting: "on"}}}}))
			require.NotEmpty(t, labelled(text, k.hints(whole), label))
			require.NoError(t, k.Replace(uri, strings.Replace(text, "K:C\n", "%%fourfold hints "+setting+"=off\nK:C\n", 1)))
			assert.Empty(t, labelled(k.Buffer(uri).Text, k.hints(whole), label), "a line in the score wins")
		})
	}
}

func TestNoRefreshUnlessOffered(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, k.Open(uri, pedalled))
	require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": map[string]any{"hand": "small"}}))
	k.fails("textDocument/unheardOf", nil, -32601)
	k.await(func(s lsptest.State) bool { return s.Asked("workspace/inlayHint/refresh") == 0 })
}
