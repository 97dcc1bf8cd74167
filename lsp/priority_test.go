package lsp

import (
	"context"
	"net"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
)

// Costly requests wait for one another, can be cancelled while they wait, and hold
// up no other request.
func TestCostlyRequestsTakeTurns(t *testing.T) {
	ours, theirs := net.Pipe()
	defer ours.Close()
	s := newSession(t.Context(), theirs, Options{}, (*analysis.Glimpse).Whole)
	prepared := func(ctx context.Context) (any, error) { return "done", nil }
	for range cap(s.trying) {
		s.trying <- struct{}{}
	}
	result, err := s.inTurn(t.Context(), "textDocument/hover", prepared)
	require.NoError(t, err)
	assert.Equal(t, "done", result)

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = s.inTurn(ctx, methodResolve, prepared)
	require.ErrorIs(t, err, context.Canceled)

	<-s.trying
	result, err = s.inTurn(t.Context(), methodResolve, prepared)
	require.NoError(t, err)
	assert.Equal(t, "done", result)
	assert.Len(t, s.trying, cap(s.trying)-1, "the turn is given back")
}
