package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// client says to the editor what a server may say. A call waits for an answer
// that only the reader can bring, so it is never made on the reader; and as an
// editor may be slow to read, neither is a notification.
type client struct {
	conn jsonrpc2.Conn
	ctx  context.Context
}

// notify sends; that it cannot be sent means that the client has gone, which
// the reader finds out.
func (c client) notify(method string, params any) {
	_ = c.conn.Notify(c.ctx, method, params)
}

func (c client) publish(p wire.PublishDiagnosticsParams) {
	c.notify(protocol.MethodTextDocumentPublishDiagnostics, p)
}

func (c client) logMessage(kind protocol.MessageType, text string) {
	c.notify(protocol.MethodWindowLogMessage, protocol.LogMessageParams{Type: kind, Message: text})
}

func (c client) showMessage(kind protocol.MessageType, text string) {
	c.notify(protocol.MethodWindowShowMessage, protocol.ShowMessageParams{Type: kind, Message: text})
}

// refreshDiagnostics tells a client that pulls to pull again. It waits for the
// answer, which says nothing.
func (c client) refreshDiagnostics() {
	_, _ = c.conn.Call(c.ctx, wire.MethodWorkspaceDiagnosticRefresh, nil, nil)
}

// configuration asks for one section of the editor's settings. The answer is
// nil where the editor has none.
func (c client) configuration(section string) (json.RawMessage, error) {
	var answer []json.RawMessage
	params := protocol.ConfigurationParams{Items: []protocol.ConfigurationItem{{Section: section}}}
	_, err := c.conn.Call(c.ctx, protocol.MethodWorkspaceConfiguration, params, &answer)
	if err != nil || len(answer) == 0 {
		return nil, err
	}
	return answer[0], nil
}

// register asks the editor to send a notification that it sends only on demand.
func (c client) register(method string, options any) error {
	params := protocol.RegistrationParams{Registrations: []protocol.Registration{
		{ID: method, Method: method, RegisterOptions: options}}}
	_, err := c.conn.Call(c.ctx, protocol.MethodClientRegisterCapability, params, nil)
	return err
}

// refresh asks the editor to ask for something again.
func (c client) refresh(method string) {
	_, _ = c.conn.Call(c.ctx, method, nil, nil) // one that will not goes on with what it has
}

// call asks the editor something and waits for the answer. A method without a
// result is called with nil.
func (c client) call(method string, params, result any) error {
	_, err := c.conn.Call(c.ctx, method, params, result)
	return err
}
