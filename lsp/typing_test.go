package lsp

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// half is a part that somebody is writing: the music goes on at the end of RH.
const half = `X:1
M:4/4
L:1/4
Q:1/4=60
%%score {RH LH}
V:RH clef=treble name="Harp"
V:LH clef=bass
K:C
V:RH
CDEF | CDE | GABc |
V:LH
C,4 | C,4 | C,4 |
`

// notation are the findings on the notation, by the text they mark.
func notation(k *talk) (marked []string) {
	k.t.Helper()
	for _, d := range k.diagnostics(uri) {
		if strings.HasPrefix(d.Code, "notation/") {
			marked = append(marked, d.Code+" "+under(k.Buffer(uri).Text, d.Range))
		}
	}
	return marked
}

// after puts the cursor after a piece of the text.
func after(t *testing.T, text, piece string) lsptest.Range {
	t.Helper()
	r, err := lsptest.Find(text, piece, 0)
	require.NoError(t, err)
	return lsptest.Range{Start: r.End, End: r.End}
}

func typeIn(k *talk, where lsptest.Range, keys string) {
	k.t.Helper()
	require.NoError(k.t, k.Edit(uri, lsptest.TextEdit{Range: where, NewText: keys}))
}

func TestNothingFlashesWhileABarIsTyped(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, half))
	opened := notation(k)
	require.NotEmpty(t, opened, "bar 2 is too short, and nobody is typing")

	cursor := after(t, half, "GABc |")
	for _, key := range strings.Split(` |"^poco|"|[|C|E|G|]|2|C`, "|") {
		typeIn(k, cursor, key)
		cursor = lsptest.Range{Start: lsptest.At(k.Buffer(uri).Text, lsptest.Offset(k.Buffer(uri).Text, cursor.Start)+len(key))}
		cursor.End = cursor.Start
		assert.Equal(t, opened, notation(k), "after %q", key)
	}
	typeIn(k, cursor, " |")
	closed := notation(k)
	assert.Greater(t, len(closed), len(opened), "the bar line is there: bar 4 is too short")
}

func TestSaveEndsThePatience(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, half))
	opened := notation(k)
	typeIn(k, after(t, half, "GABc |"), " C")
	assert.Equal(t, opened, notation(k))
	require.NoError(t, k.Notify("textDocument/didSave", map[string]any{"textDocument": docID(uri)}))
	k.await(func(s lsptest.State) bool {
		p, _ := s.Last(uri)
		return len(p.Diagnostics) > len(opened)
	})
}

func TestEditElsewhereEndsThePatience(t *testing.T) {
	k := start(t, editorUTF16)
	text := strings.Replace(half, "CDE |", "CDEF |", 1)
	require.NoError(t, k.Open(uri, text))
	require.Empty(t, notation(k))
	typeIn(k, after(t, text, "| CDEF"), "G") // bar 2, now too long
	assert.Empty(t, notation(k))
	typeIn(k, after(t, text, "V:RH\nCDE"), " ") // bar 1
	assert.NotEmpty(t, notation(k))
}

// Fingers and feet have no such patience: what was found stays.
func TestOnlyNotationWaits(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, turning))
	was := len(ofRule(k.diagnostics(uri), "hands/turn"))
	typeIn(k, after(t, turning, "FAfc"), " ")
	assert.Len(t, ofRule(k.diagnostics(uri), "hands/turn"), was)
}
