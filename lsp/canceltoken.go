package lsp

import (
	"context"
	"encoding/json"
	"fmt"

	"go.lsp.dev/protocol"

	wire "fourfold/lsp/protocol"
)

// withProgress gives the work a token to tell its progress under, if the client
// brought none and takes one from the server, and a context that ends when the
// user presses the button beside the progress. The caller must call end.
func (s *session) withProgress(ctx context.Context, told *progress) (_ context.Context, end func()) {
	if len(told.token) == 0 {
		told.token = s.newToken()
	}
	if len(told.token) == 0 {
		return ctx, func() {}
	}
	ctx, cancel := context.WithCancel(ctx)
	token := string(told.token)
	s.mu.Lock()
	s.tokens[token] = cancel
	s.mu.Unlock()
	return ctx, func() {
		s.mu.Lock()
		delete(s.tokens, token)
		s.mu.Unlock()
		cancel()
	}
}

// newToken asks the client to show the progress under a new token; nil where it
// does not.
func (s *session) newToken() json.RawMessage {
	s.mu.Lock()
	can := s.editor.features.showsProgress
	s.tokensMade++
	token := json.RawMessage(fmt.Sprintf(`"fourfold/%d"`, s.tokensMade))
	s.mu.Unlock()
	if !can || s.client.call(protocol.MethodWorkDoneProgressCreate, wire.ProgressToken{Token: token}, nil) != nil {
		return nil
	}
	return token
}

// cancelProgress ends the work that tells its progress under a token.
func (s *session) cancelProgress(params json.RawMessage) error {
	var p wire.ProgressToken
	if err := decode(params, &p); err != nil {
		return err
	}
	s.mu.Lock()
	cancel := s.tokens[string(p.Token)]
	s.mu.Unlock()
	if cancel != nil {
		cancel()
	}
	return nil
}
