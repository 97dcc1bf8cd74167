// Floor is the least that a language server on these libraries can do: it
// decodes each change and answers with as many fixed findings as it was told.
// What Fourfold takes beyond it is Fourfold's own.
//
// Usage: floor FINDINGS
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strconv"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
)

// stdio joins the two pipes of the process.
type stdio struct{ *os.File }

func (stdio) Write(p []byte) (int, error) { return os.Stdout.Write(p) }

func main() {
	n, err := strconv.Atoi(os.Args[len(os.Args)-1])
	if err != nil {
		fmt.Fprintln(os.Stderr, "usage: floor FINDINGS")
		os.Exit(2)
	}
	list := findings(n)
	ctx := context.Background()
	conn := jsonrpc2.NewConn(jsonrpc2.NewStream(stdio{os.Stdin}))
	conn.Go(ctx, func(_ context.Context, reply jsonrpc2.Replier, r jsonrpc2.Request) error {
		switch r.Method() {
		case protocol.MethodInitialize:
			return reply(ctx, protocol.InitializeResult{}, nil)
		case protocol.MethodTextDocumentHover:
			return reply(ctx, protocol.Hover{Contents: protocol.MarkupContent{Kind: protocol.PlainText, Value: message}}, nil)
		case protocol.MethodTextDocumentDidOpen, protocol.MethodTextDocumentDidChange:
			return answer(ctx, conn, r.Params(), list)
		case protocol.MethodShutdown:
			return reply(ctx, nil, nil)
		case protocol.MethodExit:
			os.Exit(0)
		}
		if _, isCall := r.(*jsonrpc2.Call); isCall {
			return reply(ctx, nil, jsonrpc2.Errorf(jsonrpc2.MethodNotFound, "no such method: %s", r.Method()))
		}
		return nil
	})
	<-conn.Done()
}

const message = "A message of the usual length, with numbers: it needs 0.23 s, and has 0.21 s. Comfortable up to ♩ = 85, holds up to ♩ = 131."

func findings(n int) []protocol.Diagnostic {
	list := make([]protocol.Diagnostic, n)
	for i := range list {
		line := uint32(i)
		list[i] = protocol.Diagnostic{
			Range:    protocol.Range{Start: protocol.Position{Line: line}, End: protocol.Position{Line: line, Character: 9}},
			Severity: protocol.DiagnosticSeverityWarning, Code: "hands/turn", Source: "floor", Message: message,
		}
	}
	return list
}

// answer publishes the list for the version that came.
func answer(ctx context.Context, conn jsonrpc2.Conn, params json.RawMessage, list []protocol.Diagnostic) error {
	var p struct {
		TextDocument struct {
			URI     protocol.DocumentURI `json:"uri"`
			Version uint32               `json:"version"`
		} `json:"textDocument"`
	}
	if err := json.Unmarshal(params, &p); err != nil {
		return err
	}
	return conn.Notify(ctx, protocol.MethodTextDocumentPublishDiagnostics, protocol.PublishDiagnosticsParams{
		URI: p.TextDocument.URI, Version: p.TextDocument.Version, Diagnostics: list})
}
