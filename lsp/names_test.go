package lsp

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

const withNames = `X:1
P:AB
U:W=!trill!
m:xx=c/d/
m:~n2=n/o/
%%score {RH LH}
V:RH name="Harp é"
V:LH
K:C
P:A
V:RH
WC xx ~D2 e2|
P:B
[V:LH] "é🎵" C4|[V:RH] z4|
`

// placeIn is the place of the n-th piece of text, from 0, a few characters in.
func placeIn(t *testing.T, text, piece string, n, plus int) map[string]any {
	t.Helper()
	r, err := lsptest.Find(text, piece, n)
	require.NoError(t, err)
	return map[string]any{"textDocument": docID(uri), "position": lsptest.Position{Line: r.Start.Line, Character: r.Start.Character + plus}}
}

func TestDefinition(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, withNames))
	for _, c := range []struct {
		piece      string
		n, plus    int
		want, line string
	}{
		{"{RH", 0, 1, "RH", `V:RH name="Harp é"`},
		{"LH}", 0, 2, "LH", "V:LH"},
		{"[V:RH]", 0, 3, "RH", `V:RH name="Harp é"`},
		{"xx ~D2", 0, 1, "xx", "m:xx=c/d/"},
		{"~D2", 0, 2, "~n2", "m:~n2=n/o/"},
		{"WC", 0, 0, "W", "U:W=!trill!"},
		{"P:AB", 0, 3, "B", "P:B"},
		{"e2|", 0, 0, "", ""},
	} {
		var places []struct {
			URI   string
			Range lsptest.Range
		}
		require.NoError(t, k.Request(k.ctx, "textDocument/definition", placeIn(t, withNames, c.piece, c.n, c.plus), &places))
		require.NotNil(t, places)
		if c.want == "" {
			assert.Empty(t, places)
			continue
		}
		require.Len(t, places, 1, c.piece)
		assert.Equal(t, uri, places[0].URI)
		assert.Equal(t, c.want, under(withNames, places[0].Range))
		assert.Equal(t, c.line, strings.Split(withNames, "\n")[places[0].Range.Start.Line])
	}
}

func TestReferences(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, withNames))
	for _, declared := range []bool{true, false} {
		var places []struct{ Range lsptest.Range }
		params := placeIn(t, withNames, "V:RH", 1, 3)
		params["context"] = map[string]any{"includeDeclaration": declared}
		require.NoError(t, k.Request(k.ctx, "textDocument/references", params, &places))
		var lines []int
		for _, p := range places {
			assert.Equal(t, "RH", under(withNames, p.Range))
			lines = append(lines, p.Range.Start.Line)
		}
		if declared {
			assert.Equal(t, []int{5, 6, 10, 13}, lines)
		} else {
			assert.Equal(t, []int{5, 10, 13}, lines)
		}
	}
}

func TestRename(t *testing.T) {
	for _, c := range []struct {
		name, piece string
		n, plus     int
		to          string
		changes     []string // old and new
	}{
		{"a voice", "V:RH", 0, 2, "Right", []string{"{RH LH}", "{Right LH}", "V:RH", "V:Right"}},
		{"a macro", "xx ~D2", 0, 0, "yy", []string{"xx", "yy"}},
		{"a macro for any note", "~D2", 0, 0, "wn2", []string{"~n2", "wn2", "~D2", "wD2"}},
		{"a symbol", "WC", 0, 0, "T", []string{"U:W", "U:T", "WC", "TC"}},
		{"a part", "P:AB", 0, 2, "C", []string{"P:AB", "P:CB", "P:A", "P:C"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, capabilities := range []string{editorUTF16, "{}"} {
				k := start(t, capabilities)
				require.NoError(t, k.Open(uri, withNames))
				params := placeIn(t, withNames, c.piece, c.n, c.plus)
				var mark struct {
					Range       lsptest.Range
					Placeholder string
				}
				require.NoError(t, k.Request(k.ctx, "textDocument/prepareRename", params, &mark))
				assert.NotEmpty(t, mark.Placeholder)
				params["newName"] = c.to
				var a lsptest.Action
				require.NoError(t, k.Request(k.ctx, "textDocument/rename", params, &a.Edit))
				require.NoError(t, k.Accept(a))
				assert.Equal(t, strings.NewReplacer(c.changes...).Replace(withNames), k.Buffer(uri).Text)
			}
		})
	}
}

// A name that would change the music, or that is no name, is refused with what to
// do.
func TestRenameRefused(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, withNames))
	for _, c := range []struct {
		piece   string
		n, plus int
		to, why string
	}{
		{"V:RH", 0, 2, "LH", "has a meaning here already"},
		{"V:RH", 0, 2, "R H", "no blank"},
		{"V:RH", 0, 2, "", "up to 20"},
		{"xx ~D2", 0, 0, "e2", "would become a macro"},
		{"xx ~D2", 0, 0, "ten", "stands for any note"},
		{"~D2", 0, 0, "ten4x", "stands for any note"},
		{"WC", 0, 0, "A", "one letter"},
		{"P:AB", 0, 2, "Trio", "one letter"},
		{"e2|", 0, 0, "x", "put the cursor on its name"},
	} {
		params := placeIn(t, withNames, c.piece, c.n, c.plus)
		params["newName"] = c.to
		var e *lsptest.Error
		require.ErrorAs(t, k.Request(k.ctx, "textDocument/rename", params, nil), &e, c.piece)
		assert.Equal(t, -32803, e.Code)
		assert.Contains(t, e.Message, c.why)
	}
	var mark any
	require.NoError(t, k.Request(k.ctx, "textDocument/prepareRename", placeIn(t, withNames, "e2|", 0, 0), &mark))
	assert.Nil(t, mark)
}

func TestHighlights(t *testing.T) {
	k := start(t, editorUTF16)
	text := strings.Replace(pedalled, "z8 |", "C8 |", 1)
	require.NoError(t, k.Open(uri, text))
	ask := func(piece string, plus int) map[int][]string {
		var list []struct {
			Range lsptest.Range
			Kind  int
		}
		require.NoError(t, k.Request(k.ctx, "textDocument/documentHighlight", placeIn(t, text, piece, 0, plus), &list))
		by := map[int][]string{}
		for _, h := range list {
			by[h.Kind] = append(by[h.Kind], under(text, h.Range))
		}
		return by
	}
	assert.Equal(t, map[int][]string{3: {"C", "E", "G", "c"}, 2: {"C", "C8"}}, ask("CEGc", 0), "the placing; the same string in the chord and in the left hand")
	assert.Equal(t, map[int][]string{1: {"LH", "LH", "LH"}}, ask("LH}", 0))
	assert.Empty(t, ask("T:Pedals", 0))
}
