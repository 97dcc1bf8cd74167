package lsp

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// tokenAnswer is what a client reads of any request for tokens.
type tokenAnswer struct {
	ResultID string
	Data     []int
	Edits    []struct {
		Start, DeleteCount int
		Data               []int
	}
}

// coloured unpacks tokens: type and text of each.
func coloured(t *testing.T, text string, data []int) (out []string) {
	require.Zero(t, len(data)%5)
	line, column := 0, 0
	for i := 0; i < len(data); i += 5 {
		if data[i] > 0 {
			line, column = line+data[i], 0
		}
		column += data[i+1]
		r := lsptest.Range{Start: lsptest.Position{Line: line, Character: column}, End: lsptest.Position{Line: line, Character: column + data[i+2]}}
		out = append(out, tokenTypes[data[i+3]]+" "+under(text, r))
	}
	return out
}

func (k *talk) tokens(kind string, more map[string]any) (a tokenAnswer) {
	k.t.Helper()
	params := map[string]any{"textDocument": docID(uri)}
	for name, v := range more {
		params[name] = v
	}
	require.NoError(k.t, k.Request(k.ctx, "textDocument/semanticTokens/"+kind, params, &a))
	return a
}

func TestSemanticTokens(t *testing.T) {
	text := "X:1\nT:Fährte 🎵\nV:RH name=Harp\nK:C % remark\n%%score RH\n\"é🎵\"^f'2 !trill![CE]>z|1 [K:D]\n"
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, text))
	a := k.tokens("full", nil)
	assert.Equal(t, []string{
		"keyword X:", "property 1", "keyword T:", "string Fährte 🎵", "keyword V:", "class RH name=Harp", "keyword K:", "property C", "comment % remark",
		"macro %%score", "property RH", `string "é🎵"`, "variable ^f'", "number 2", "decorator !trill!", "operator [", "variable CE",
		"operator ]>", "enumMember z", "keyword |1", "keyword [K:", "property D", "keyword ]",
	}, coloured(t, text, a.Data))

	part := k.tokens("range", map[string]any{"range": lsptest.Range{Start: lsptest.Position{Line: 1}, End: lsptest.Position{Line: 1, Character: 2}}})
	assert.Equal(t, []string{"keyword T:", "string Fährte 🎵"}, coloured(t, text, part.Data))
}

// After any edits, the changes to what the client has give what a client that
// asks for all has.
func TestSemanticTokensDelta(t *testing.T) {
	k := start(t, editorUTF16)
	text := strings.Repeat("é🎵", 3) + "\n" + turning
	require.NoError(t, k.Open(uri, text))
	a := k.tokens("full", nil)
	have := a.Data
	r := rand.New(rand.NewPCG(3, 4))
	pieces := []string{"a", "|", "\n", "K:C\n", "", "é", "🎵", "X:1\n", "%", "[V:1]", "^", "\"", "\r"}
	for range 300 {
		b := k.Buffer(uri)
		i := r.IntN(len(b.Text) + 1)
		j := min(len(b.Text), i+r.IntN(4))
		at, to := lsptest.At(b.Text, i), lsptest.At(b.Text, j)
		require.NoError(t, k.Edit(uri, lsptest.TextEdit{Range: lsptest.Range{Start: at, End: to}, NewText: pieces[r.IntN(len(pieces))]}))
		a = k.tokens("full/delta", map[string]any{"previousResultId": a.ResultID})
		require.Nil(t, a.Data)
		for _, e := range a.Edits {
			have = slices.Concat(have[:e.Start], e.Data, have[e.Start+e.DeleteCount:])
		}
		fresh := k.tokens("range", map[string]any{"range": whole})
		require.Equal(t, fmt.Sprint(fresh.Data), fmt.Sprint(have), "%q", k.Buffer(uri).Text)
		for _, c := range coloured(t, k.Buffer(uri).Text, have) {
			require.NotContains(t, c, "\n")
		}
	}
	a = k.tokens("full/delta", map[string]any{"previousResultId": "unheard of"})
	assert.NotNil(t, a.Data, "all, where the server does not know what the client has")
	assert.NotEmpty(t, a.ResultID)
}
