package lsp

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	libraryuri "go.lsp.dev/uri"

	wire "fourfold/lsp/protocol"
)

// These tests show what go.lsp.dev/protocol v0.12.0 and jsonrpc2 v0.10.0 cannot
// do, and that this package does it. When the first half of one fails after an
// update of the library, the code that goes round the limit may go.
//
// The limits of its ready-made handlers (requests one after another, number ids
// that cannot be cancelled, panics that end the process) do not arise, as none
// of them is used: TestCancel and TestPanicCostsOneAnswer show what is there
// instead.

// both decodes the same JSON into the library's type and into ours.
func both(t *testing.T, text string, library, ours any) (libraryErr error) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(text), ours))
	return json.Unmarshal([]byte(text), library)
}

func TestLimitReplaceAllLooksLikeInsert(t *testing.T) {
	var library struct {
		A, B protocol.TextDocumentContentChangeEvent
	}
	var ours struct{ A, B wire.ContentChange }
	require.NoError(t, both(t, `{"A":{"text":"x"},"B":{"range":{"start":{"line":0,"character":0},"end":{"line":0,"character":0}},"text":"x"}}`, &library, &ours))
	assert.Equal(t, library.A, library.B)
	assert.NotEqual(t, ours.A, ours.B)
}

func TestLimitUnknownCapabilitiesAreLost(t *testing.T) {
	var library protocol.InitializeParams
	var ours wire.InitializeParams
	require.NoError(t, both(t, `{"processId":null,"capabilities":{"general":{"positionEncodings":["utf-8"]}}}`, &library, &ours))
	again, err := json.Marshal(library)
	require.NoError(t, err)
	assert.NotContains(t, string(again), "utf-8")
	assert.Contains(t, string(again), `"processId":0`)
	assert.Equal(t, []string{"utf-8"}, ours.Capabilities.General.PositionEncodings)
	assert.Nil(t, ours.ProcessID)
}

func TestLimitDataLosesDigits(t *testing.T) {
	const data = `{"range":{"start":{"line":1,"character":2},"end":{"line":1,"character":3}},"code":"hands/turn","data":9007199254740993}`
	var library protocol.Diagnostic
	var ours wire.Diagnostic
	require.NoError(t, both(t, data, &library, &ours))
	again, err := json.Marshal(library)
	require.NoError(t, err)
	assert.NotContains(t, string(again), "9007199254740993")
	assert.Equal(t, data, string(ours.Raw))
	assert.Equal(t, "hands/turn", ours.Code)
}

func TestLimitWholeNumbersOnly(t *testing.T) {
	var library protocol.Position
	var ours wire.Position
	require.Error(t, both(t, `{"line":-1,"character":2.0}`, &library, &ours))
	assert.Equal(t, wire.Position{Line: -1, Character: 2}, ours)
	require.Error(t, both(t, `{"line":99999999999999999999,"character":0}`, &library, &ours))
	assert.EqualValues(t, 2147483647, ours.Line)
	for _, wrong := range []string{`{"line":0.5}`, `{"line":"1"}`, `{"line":[]}`} {
		assert.Error(t, json.Unmarshal([]byte(wrong), &ours), wrong)
	}
}

// read gives what the library's stream makes of bytes.
func read(frame string) (jsonrpc2.Message, error) {
	in := struct {
		io.Reader
		io.WriteCloser
	}{strings.NewReader(frame), nil}
	m, _, err := jsonrpc2.NewStream(in).Read(context.Background())
	return m, err
}

// TestLimitFrames: what ends the library's connection. TestCancel,
// TestMalformedFrames and TestHeadersOfAnyKind show that ours goes on.
func TestLimitFrames(t *testing.T) {
	for name, frame := range map[string]string{
		"an id above 32 bits":     "Content-Length: 34\r\n\r\n" + `{"id":4000000000,"method":"hover"}`,
		"a batch":                 "Content-Length: 2\r\n\r\n[]",
		"half a message":          "Content-Length: 2\r\n\r\n{\"",
		"a header in small print": "content-length: 14\r\n\r\n" + `{"method":"x"}`,
	} {
		_, err := read(frame)
		assert.Error(t, err, name)
	}
	m, err := read("Content-Length: 22\r\n\r\n" + `{"id":"","method":"x"}`)
	require.NoError(t, err)
	id := m.(*jsonrpc2.Call).ID()
	echo, err := json.Marshal(&id)
	require.NoError(t, err)
	assert.Equal(t, "0", string(echo), `"" comes back as 0`)
}

func TestLimitContextDropsMessage(t *testing.T) {
	ended, end := context.WithCancel(context.Background())
	end()
	ours, theirs := net.Pipe()
	defer ours.Close()
	require.Error(t, jsonrpc2.NewConn(jsonrpc2.NewStream(theirs)).Notify(ended, "x", nil))
	// That cancelled requests are answered all the same is shown by TestCancel.
}

func TestLimitHandlerErrorEndsConnection(t *testing.T) {
	ours, theirs := net.Pipe()
	conn := jsonrpc2.NewConn(jsonrpc2.NewStream(theirs))
	conn.Go(context.Background(), func(context.Context, jsonrpc2.Replier, jsonrpc2.Request) error {
		// An error of any other type than the stream's own would even panic in
		// the library's goroutine.
		return fmt.Errorf("failed: %w", io.ErrUnexpectedEOF)
	})
	_, err := io.WriteString(ours, "Content-Length: 14\r\n\r\n"+`{"method":"x"}`)
	require.NoError(t, err)
	<-conn.Done()
	require.Error(t, conn.Err())
	// TestWrongParams shows that a failed notification ends nothing here.
}

func TestLimitHeaderAndBodyAreTwoWrites(t *testing.T) {
	count := func(s func(io.ReadWriteCloser) jsonrpc2.Stream) int {
		w := &countingWriter{}
		n, err := jsonrpc2.NewNotification("x", nil)
		require.NoError(t, err)
		_, err = s(w).Write(context.Background(), n)
		require.NoError(t, err)
		return w.writes
	}
	assert.Equal(t, 2, count(jsonrpc2.NewStream))
	assert.Equal(t, 1, count(func(rwc io.ReadWriteCloser) jsonrpc2.Stream { return newStream(rwc) }))
}

type countingWriter struct {
	bytes.Buffer
	writes int
}

func (w *countingWriter) Write(p []byte) (int, error) { w.writes++; return w.Buffer.Write(p) }
func (w *countingWriter) Close() error                { return nil }

func TestLimitShutdownWithParams(t *testing.T) {
	k := start(t, "{}")
	require.NoError(t, k.Request(k.ctx, "shutdown", struct{}{}, nil))
	require.NoError(t, k.Notify("exit", struct{}{}))
	assert.Equal(t, 0, k.exitCode())
}

func TestLimitURIs(t *testing.T) {
	assert.Panics(t, func() { libraryuri.URI("untitled:Untitled-1").Filename() })
	const sent = "file:///c%3A/a%20b.abc"
	assert.NotEqual(t, sent, string(libraryuri.New(sent)))
	// TestAnyURI shows that every document goes by the client's own string.
}

func TestLimitEncoding(t *testing.T) {
	encode := func(v any) string {
		b, err := json.Marshal(v)
		require.NoError(t, err)
		return string(b)
	}
	library := encode(protocol.PublishDiagnosticsParams{URI: "x:"})
	assert.Contains(t, library, `"diagnostics":null`)
	assert.NotContains(t, library, "version")
	// TestPublishedShape shows [] and version 0.

	assert.NotContains(t, encode(protocol.TextDocumentSyncOptions{Change: protocol.TextDocumentSyncKindNone}), "change")
	assert.Contains(t, encode(wire.SyncOptions{}), `"change":0`)

	flat := encode(wire.ServerCapabilities{
		PositionEncoding:   wire.UTF8,
		ServerCapabilities: protocol.ServerCapabilities{HoverProvider: true},
	})
	assert.JSONEq(t, `{"hoverProvider":true,"positionEncoding":"utf-8"}`, flat)
}
