package lsp

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/lsp/lsptest"
)

// inParts is a tune with parts, endings and two voices, and one without a title.
const inParts = `X:1
T:In parts
M:4/4
L:1/4
V:RH name=Harp
V:LH
K:C
V:RH
C4|P
P:A
V:RH
|:D4|1 E4:|2 F4|
P:B
V:RH
G4|]
V:LH
z4|z4|z4|z4|z4|

X:2
K:C
C4|
`

// symbol is a document symbol in either form.
type symbol struct {
	Name, Detail          string
	Kind                  int
	Range, SelectionRange lsptest.Range
	Children              []symbol
	ContainerName         string
	Location              struct {
		URI   string
		Range lsptest.Range
	}
}

// drawn is a tree of symbols, a line each.
func drawn(symbols []symbol, indent string) string {
	var b strings.Builder
	for _, s := range symbols {
		fmt.Fprintf(&b, "%s%s\n%s", indent, strings.TrimSpace(s.Name+" "+s.Detail), drawn(s.Children, indent+"  "))
	}
	return b.String()
}

func (k *talk) symbols() (list []symbol) {
	k.t.Helper()
	require.NoError(k.t, k.Request(k.ctx, "textDocument/documentSymbol", map[string]any{"textDocument": docID(uri)}, &list))
	return list
}

const editorTrees = `{"textDocument":{"documentSymbol":{"hierarchicalDocumentSymbolSupport":true}}}`

func TestDocumentSymbols(t *testing.T) {
	k := start(t, editorTrees)
	text := strings.Replace(inParts, "C4|P\n", "C4|\n", 1)
	require.NoError(t, k.Open(uri, text))
	symbols := k.symbols()
	assert.Equal(t, `In parts
  Voice RH Harp
    bar 1
    Part A from bar 2
      bar 2
      bar 3 ending 1
      bar 4 ending 2
    Part B from bar 5
      bar 5
  Voice LH
    bar 1
    bar 2
    bar 3
    bar 4
    bar 5
Tune 2
  Voice 1
    bar 1
`, drawn(symbols, ""))
	inside(t, symbols, whole)
	assert.Equal(t, "G4|]", under(text, symbols[0].Children[0].Children[2].Children[0].Range))
}

// inside asserts that symbols lie where the tree says.
func inside(t *testing.T, symbols []symbol, around lsptest.Range) {
	within := func(a, b lsptest.Range) bool {
		before := func(p, q lsptest.Position) bool {
			return p.Line < q.Line || p.Line == q.Line && p.Character <= q.Character
		}
		return before(b.Start, a.Start) && before(a.End, b.End)
	}
	for _, s := range symbols {
		assert.NotEmpty(t, s.Name)
		assert.True(t, within(s.Range, around), s.Name)
		assert.True(t, within(s.SelectionRange, s.Range), s.Name)
		inside(t, s.Children, s.Range)
	}
}

func TestDocumentSymbolsAsAList(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, k.Open(uri, inParts))
	symbols := k.symbols()
	require.Len(t, symbols, 18)
	for _, s := range symbols {
		assert.Empty(t, s.Children)
		assert.Equal(t, uri, s.Location.URI)
	}
	assert.Equal(t, "In parts", symbols[1].ContainerName)
	assert.Equal(t, "Part A", symbols[4].ContainerName)
}

// A long score's outline has a bar a line, so that it stays one that an editor can
// show.
func TestDocumentSymbolsOfALongScore(t *testing.T) {
	k := start(t, editorTrees)
	require.NoError(t, k.Open(uri, "X:1\nK:C\n"+strings.Repeat("C8|D8|E8|\n", 1000)))
	bars := k.symbols()[0].Children[0].Children
	require.Len(t, bars, 1000)
	assert.Equal(t, "bar 4", bars[1].Name)
}

// Tunes are found in open documents as the editor has them, and in the other scores
// of the workspace as they are on disk.
func TestWorkspaceSymbols(t *testing.T) {
	folder := workspace(t, map[string]string{"a.abc": turning, "sub/b.abc": "X:1\nT:In é parts\nK:C\nC|\nX:2\nK:C\n", "c.txt": turning})
	k := startIn(t, (*analysis.Glimpse).Whole, folder)
	require.NoError(t, k.Open(uri, inParts))
	require.NoError(t, k.Open(fileURI(filepath.Join(folder, "a.abc")), strings.Replace(turning, "T:Turning", "T:Turned", 1)))
	ask := func(query string) (names []string) {
		var found []symbol
		require.NoError(t, k.Request(k.ctx, "workspace/symbol", map[string]any{"query": query}, &found))
		require.NotNil(t, found)
		for _, s := range found {
			names = append(names, s.ContainerName+": "+s.Name)
		}
		return names
	}
	assert.ElementsMatch(t, []string{"ferry.abc: In parts", "ferry.abc: Tune 2", "a.abc: Turned", "b.abc: In é parts", "b.abc: Tune 2"}, ask(""))
	assert.Equal(t, []string{"a.abc: Turned"}, ask("TURN"))
	assert.Equal(t, []string{"b.abc: In é parts"}, ask("é"))
	assert.Empty(t, ask("nothing of the kind"))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "sub", "b.abc"), []byte("X:1\nT:Another\nK:C\n"), 0o644))
	assert.Equal(t, []string{"b.abc: Another"}, ask("another"))
}

func TestFoldingRanges(t *testing.T) {
	type fold struct {
		StartLine, EndLine int
		Kind               string
	}
	text := "% a\n% b\n" + inParts
	ask := func(capabilities string) (folds []fold) {
		k := start(t, capabilities)
		require.NoError(t, k.Open(uri, text))
		require.NoError(t, k.Request(k.ctx, "textDocument/foldingRange", map[string]any{"textDocument": docID(uri)}, &folds))
		return folds
	}
	folds := ask("{}")
	lines := strings.Split(text, "\n")
	assert.Contains(t, folds, fold{0, 1, "comment"})
	found := map[string]string{}
	for _, f := range folds {
		require.Less(t, f.StartLine, f.EndLine)
		found[lines[f.StartLine]] = lines[f.EndLine]
	}
	assert.Equal(t, "z4|z4|z4|z4|z4|", found["P:B"])
	assert.Len(t, ask(`{"textDocument":{"foldingRange":{"rangeLimit":2}}}`), 2)
}

func TestSelectionRanges(t *testing.T) {
	type selection struct {
		Range  lsptest.Range
		Parent *selection
	}
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, pedalled))
	note, err := lsptest.Find(pedalled, "EG]", 0)
	require.NoError(t, err)
	var list []*selection
	require.NoError(t, k.Request(k.ctx, "textDocument/selectionRange", map[string]any{
		"textDocument": docID(uri), "positions": []any{note.Start, lsptest.Position{}}}, &list))
	require.Len(t, list, 2)
	var texts []string
	for s := list[0]; s != nil; s = s.Parent {
		texts = append(texts, under(pedalled, s.Range))
	}
	line := "CEGc [CEG]2 ^F2 | c4 z4 |"
	assert.Equal(t, []string{"E", "[CEG]2", "CEGc [CEG]2 ^F2 |", line, "V:RH\n" + line, pedalled}, slicesWithout(texts, "[CEG]2 ^F2"))
	for s := list[1]; s != nil; s = s.Parent {
		assert.Contains(t, []string{"X:1", pedalled}, under(pedalled, s.Range))
	}
}

// slicesWithout leaves out a text, which may or may not be there.
func slicesWithout(list []string, text string) (out []string) {
	for _, s := range list {
		if s != text {
			out = append(out, s)
		}
	}
	return out
}
