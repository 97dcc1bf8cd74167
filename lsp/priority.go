package lsp

import (
	"context"
	"sync"

	"go.lsp.dev/protocol"
)

// priority lets what nobody waits for stand back behind what the user waits for.
type priority struct {
	mu    sync.Mutex
	busy  int           // how much the user waits for
	quiet chan struct{} // closed when that is nothing
}

// begin says that the user waits for something; what it gives ends that, once.
func (p *priority) begin() (end func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.busy == 0 {
		p.quiet = make(chan struct{})
	}
	p.busy++
	return func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.busy--; p.busy == 0 {
			close(p.quiet)
		}
	}
}

// stand waits until the user waits for nothing, or the context ends.
func (p *priority) stand(ctx context.Context) {
	for {
		p.mu.Lock()
		quiet, busy := p.quiet, p.busy
		p.mu.Unlock()
		if busy == 0 {
			return
		}
		select {
		case <-quiet:
		case <-ctx.Done():
			return
		}
	}
}

// patient is a context for work in the background: whenever the work looks whether
// it is still wanted, it stands back first. Whoever works under it must hold
// nothing that others wait for.
type patient struct {
	context.Context
	priority *priority
}

func (c patient) Err() error {
	c.priority.stand(c.Context)
	return c.Context.Err()
}

// costly are the requests that try many changes of a score, each with an analysis of
// its own. As many as there are processors are worked on at a time, and an editor
// that sends one for each move of the cursor does not fill the memory with them.
var costly = map[string]bool{protocol.MethodTextDocumentCodeAction: true, methodResolve: true}

// inTurn does prepared work when its turn has come.
func (s *session) inTurn(ctx context.Context, method string, prepared work) (any, error) {
	if costly[method] {
		select {
		case s.trying <- struct{}{}:
			defer func() { <-s.trying }()
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	return s.guard(method, func() (any, error) { return prepared(ctx) })
}
