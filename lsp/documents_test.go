package lsp

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/lsp/lsptest"
	"fourfold/parser/syntax"
)

// nothing is what there is to say about an empty text.
func nothing(ctx context.Context) (*analysis.Reading, error) {
	return analysis.Read(ctx, syntax.Parse(nil), rules.Defaults())
}

// listening is an analysis that remembers the last text it was asked about and
// finds nothing.
func listening() (analyse, func() string) {
	texts := make(chan string, 1)
	texts <- ""
	return func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
			<-texts
			texts <- string(g.File().Text())
			return nothing(ctx)
		}, func() string {
			text := <-texts
			texts <- text
			return text
		}
}

// typist makes random edits in the manner of people and of tools.
type typist struct{ *rand.Rand }

// pieces hold what makes positions go wrong.
var pieces = []string{"", "D", "é", "♯", "🎵", "\n", "\r", "\r\n", "e\u0301", "[CEG]2", "|\n%c\r", "\x00", "\ufeff", "\u2028"}

func (r typist) piece() string {
	s := ""
	for range r.IntN(4) {
		s += pieces[r.IntN(len(pieces))]
	}
	return s
}

func (r typist) place(text string) lsptest.Position {
	p := lsptest.At(text, r.boundary(text))
	switch r.IntN(12) {
	case 0:
		p.Character += r.IntN(50) // past the end of the line
	case 1:
		p.Line += r.IntN(50) // past the end of the text
	}
	return p
}

// boundary is the start of a random character, never between \r and \n.
func (r typist) boundary(text string) int {
	i := r.IntN(len(text) + 1)
	for i > 0 && i < len(text) && (text[i]&0xC0 == 0x80 || text[i] == '\n' && text[i-1] == '\r') {
		i--
	}
	return i
}

func (r typist) edit(text string) lsptest.TextEdit {
	a, b := r.place(text), r.place(text)
	if r.IntN(2) == 0 {
		b = a
	}
	if lsptest.Offset(text, b) < lsptest.Offset(text, a) {
		a, b = b, a
	}
	return lsptest.TextEdit{Range: lsptest.Range{Start: a, End: b}, NewText: r.piece()}
}

// FuzzDocument compares the text that the analysis gets with the editor's,
// after random changes of one to three steps.
func FuzzDocument(f *testing.F) {
	f.Add("X:1\r\nT:café ♯ 🎵\r\nK:C\r\nCDEF|\r\n", uint64(1))
	f.Add("", uint64(2))
	f.Add("0", uint64(183)) // a column inside a surrogate pair
	f.Add("\r\r\n\n", uint64(3))
	f.Fuzz(func(t *testing.T, text string, seed uint64) {
		read, heard := listening()
		k := begin(t, read)
		require.NoError(t, k.Initialize(k.ctx, "{}", nil))
		text = strings.ToValidUTF8(text, "\ufffd") // what JSON can carry
		require.NoError(t, k.Open(uri, text))
		r := typist{rand.New(rand.NewPCG(seed, 0))}
		for range 1 + r.IntN(12) {
			if r.IntN(10) == 0 {
				require.NoError(t, k.Replace(uri, r.piece()))
				continue
			}
			var edits []lsptest.TextEdit
			now := k.Buffer(uri).Text
			for range 1 + r.IntN(3) {
				e := r.edit(now)
				now = now[:lsptest.Offset(now, e.Range.Start)] + e.NewText + now[lsptest.Offset(now, e.Range.End):]
				edits = append(edits, e)
			}
			require.NoError(t, k.Edit(uri, edits...))
			if r.IntN(3) == 0 {
				k.diagnostics(uri)
				require.Equal(t, k.Buffer(uri).Text, heard())
			}
		}
		k.diagnostics(uri)
		require.Equal(t, k.Buffer(uri).Text, heard())
	})
}

// A version that does not grow is used as it comes: the order of the wire is
// the order of the edits.
func TestVersionsOutOfOrder(t *testing.T) {
	read, heard := listening()
	k := begin(t, read)
	require.NoError(t, k.Initialize(k.ctx, "{}", nil))
	require.NoError(t, k.Open(uri, "abc"))
	for i, version := range []string{`"version":7,`, `"version":7,`, `"version":3,`, `"version":null,`, ``, `"version":8.0,`, `"version":0,`} {
		require.NoError(t, k.Send(lsptest.Frame(fmt.Sprintf(
			`{"jsonrpc":"2.0","method":"textDocument/didChange","params":{"textDocument":{%s"uri":%q},"contentChanges":[{"range":{"start":{"line":0,"character":%d},"end":{"line":0,"character":%d}},"text":"%d"}]}}`,
			version, uri, i, i, i))))
	}
	k.await(func(s lsptest.State) bool {
		p, ok := s.Last(uri)
		return ok && p.Version != nil && *p.Version == 0
	})
	assert.Equal(t, "0123456abc", heard())
}

// "Replace everything" has no range; "insert at the start" has an empty one.
func TestReplaceAllIsNotInsert(t *testing.T) {
	read, heard := listening()
	k := begin(t, read)
	require.NoError(t, k.Initialize(k.ctx, "{}", nil))
	require.NoError(t, k.Open(uri, "old"))
	require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "in front of "}))
	k.diagnostics(uri)
	assert.Equal(t, "in front of old", heard())
	require.NoError(t, k.Replace(uri, "new"))
	k.diagnostics(uri)
	assert.Equal(t, "new", heard())
}

// A document is known by the very string that the client uses, whatever it
// names, and what is published bears the same string.
func TestAnyURI(t *testing.T) {
	k := start(t, "{}")
	all := []string{
		"untitled:Untitled-1", "file:///c%3A/Scores/ferry%20at%20dusk.abc", "file:///C:/Scores/ferry.abc",
		"file:///a%23b%25/c.abc", "file:///é/♯.abc", "file://server/share/x.abc", "git:/x.abc?%7B%22ref%22%3A%22%22%7D",
		"vscode-remote://127.0.0.1:80/x.abc", "not a uri at all",
	}
	for _, uri := range all {
		require.NoError(t, k.Open(uri, "no music"))
		k.diagnostics(uri)
		require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "%"}))
		k.diagnostics(uri)
	}
}

// Closing clears the list, and a document opened again begins afresh.
func TestCloseClears(t *testing.T) {
	k := start(t, "{}")
	for i := range 20 {
		require.NoError(t, k.Open(uri, "X:1\nK:C\nC|\n"))
		if i%2 == 0 {
			k.diagnostics(uri)
		}
		require.NoError(t, k.Notify("textDocument/didClose", map[string]any{"textDocument": docID(uri)}))
	}
	// Every life of a document ends with an empty list without a version.
	k.await(func(s lsptest.State) bool {
		cleared := 0
		for _, p := range s.Published(uri) {
			if p.Version == nil && len(p.Diagnostics) == 0 {
				cleared++
			}
		}
		last, _ := s.Last(uri)
		return cleared == 20 && last.Version == nil
	})
	require.NoError(t, k.Open(uri, "X:1\nK:C\nC|\n"))
	k.diagnostics(uri)
}

// No list is null, and none is without the version it is about.
func TestPublishedShape(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, k.Open(uri, ""))
	k.diagnostics(uri)
	require.NoError(t, k.Send(lsptest.Frame(`{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"zero:","version":0,"text":""}}}`)))
	var raw string
	k.await(func(s lsptest.State) bool {
		p, ok := s.Last("zero:")
		raw = p.Raw
		return ok
	})
	assert.JSONEq(t, `{"uri":"zero:","version":0,"diagnostics":[]}`, raw)
}

// The newest version interrupts the pass over an older one, which publishes
// nothing.
func TestNewerVersionInterrupts(t *testing.T) {
	read, begun := stuck()
	passes := 0
	k := begin(t, func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
		if strings.HasPrefix(string(g.File().Text()), "done") {
			return nothing(ctx)
		}
		passes++ // one goroutine a document, so this is not a race
		return read(g, ctx)
	})
	require.NoError(t, k.Initialize(k.ctx, "{}", nil))
	require.NoError(t, k.Open(uri, "a"))
	for range 5 {
		<-begun
		require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "b"}))
	}
	<-begun
	require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "done"}))
	k.diagnostics(uri)
	assert.Equal(t, 6, passes)
	k.await(func(s lsptest.State) bool { return len(s.Published(uri)) == 1 })
}

// A request that waits for a pass takes it over when the pass is interrupted:
// its answer is about the snapshot that it was asked about.
func TestRequestOutlivesItsPass(t *testing.T) {
	finish := make(chan struct{})
	begun := make(chan string, 10)
	k := begin(t, func(g *analysis.Glimpse, ctx context.Context) (*analysis.Reading, error) {
		begun <- string(g.File().Text())
		select {
		case <-finish:
			return nothing(ctx)
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	})
	require.NoError(t, k.Initialize(k.ctx, "{}", nil))
	require.NoError(t, k.Open(uri, "old"))
	require.Equal(t, "old", <-begun)
	id, err := k.Ask("textDocument/hover", hoverAt(0, 0))
	require.NoError(t, err)
	require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "not so "}))
	assert.ElementsMatch(t, []string{"old", "not so old"}, []string{<-begun, <-begun})
	close(finish)
	a, err := k.AwaitAnswer(k.ctx, id)
	require.NoError(t, err)
	assert.Nil(t, a.Error)
	k.diagnostics(uri)
}

// No goroutine outlives its document.
func TestNoGoroutineLeaks(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, k.Open("first:", ""))
	k.diagnostics("first:")
	before := runtime.NumGoroutine()
	for i := range 200 {
		name := fmt.Sprint("doc:", i)
		require.NoError(t, k.Open(name, "X:1\nK:C\nC|\n"))
		_, err := k.Ask("textDocument/hover", map[string]any{"textDocument": docID(name), "position": lsptest.Position{Line: 2}})
		require.NoError(t, err)
		require.NoError(t, k.Notify("textDocument/didClose", map[string]any{"textDocument": docID(name)}))
	}
	for i := range 200 {
		k.await(func(s lsptest.State) bool {
			p, ok := s.Last(fmt.Sprint("doc:", i))
			return ok && p.Version == nil
		})
	}
	assert.Eventually(t, func() bool { return runtime.NumGoroutine() <= before+2 }, patience, patience/3000)
}

// Two editors on one file are two sessions; nothing is shared.
func TestTwoClients(t *testing.T) {
	a, b := start(t, "{}"), start(t, "{}")
	require.NoError(t, a.Open(uri, "X:1\nK:C\nC|\n"))
	require.NoError(t, b.Open(uri, ""))
	a.diagnostics(uri)
	b.diagnostics(uri)
	require.NoError(t, a.Close())
	a.exitCode()
	require.NoError(t, b.Edit(uri, lsptest.TextEdit{NewText: "X:1\n"}))
	b.diagnostics(uri)
}
