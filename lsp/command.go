package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// The commands that the server carries out. Their names stand beside those that
// an editor's extension may have of its own.
const (
	commandReview = "fourfold.openReview"
	commandCheck  = "fourfold.checkWorkspace"
	commandPedals = "fourfold.writePedalPlan"
)

// command is one command: it prepares work on the reader from its arguments.
type command func(s *session, arguments []json.RawMessage, told *progress) (work, error)

// commands are all commands by name.
func commands() map[string]command {
	return map[string]command{
		commandReview: (*session).openReview,
		commandCheck:  (*session).checkWorkspace,
		commandPedals: (*session).writePedalPlan,
	}
}

// executeCommand carries out a command that the user chose.
func (s *session) executeCommand(params json.RawMessage) (work, error) {
	var p wire.ExecuteCommandParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	do, known := commands()[p.Command]
	if !known {
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "no such command: %s", p.Command)
	}
	told := &progress{client: s.client, token: p.WorkDoneToken}
	w, err := do(s, p.Arguments, told)
	if err != nil {
		return nil, err
	}
	return func(ctx context.Context) (any, error) {
		ctx, end := s.withProgress(ctx, told)
		defer end()
		result, err := w(ctx)
		if err != nil && ctx.Err() != nil {
			return nil, jsonrpc2.NewError(protocol.CodeRequestCancelled, "cancelled")
		}
		return result, err
	}, nil
}

// documentArgument is the open document that the first argument names.
func (s *session) documentArgument(arguments []json.RawMessage) (*snapshot, error) {
	var uri string
	if len(arguments) == 0 || json.Unmarshal(arguments[0], &uri) != nil {
		return nil, jsonrpc2.NewError(jsonrpc2.InvalidParams, "the first argument must be the URI of an open document")
	}
	return s.snapshotOf(uri)
}

// show tells the user something. It does not wait.
func (s *session) show(kind protocol.MessageType, text string) {
	s.client.notify(protocol.MethodWindowShowMessage, protocol.ShowMessageParams{Type: kind, Message: text})
}
