package lsp

import (
	"context"
	"sync"
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
