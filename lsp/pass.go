package lsp

import (
	"context"
	"sync"
	"sync/atomic"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// maxSteps is how many edits are looked at one after another before it is better to
// read the whole.
const maxSteps = 4

// pass is the analysis of one text under one set of settings. It runs when it
// is first asked for, and its result is kept. Whoever asks while it runs waits;
// when the one for whom it runs is no longer interested, one who waits takes it
// over.
type pass struct {
	analyse  analyse
	settings func() rules.Settings
	file     *syntax.File // the text
	first    bool         // nothing is known of the text or an older one

	mu      sync.Mutex
	before  *analysis.Reading // of an older text, nil for none
	running chan struct{}
	reading *analysis.Reading
	from    *analysis.Glimpse // of an older text, nil for none
	steps   []edit            // what leads from there to this text
	glimpse *analysis.Glimpse // of this text, once there is one
	begun   *analysis.Glimpse // of this text, with its music alone
	looking sync.Mutex        // held while one of the two is worked out

	asked     askedOnce
	owesMoves atomic.Bool // hints were given without the pedals
}

func newPass(a analyse, settings func() rules.Settings, file *syntax.File) *pass {
	return &pass{analyse: a, settings: settings, file: file, first: true}
}

// after is the pass over the text that the edits have led to; it is the same text
// where there are none.
func (p *pass) after(edits []edit, settings func() rules.Settings) *pass {
	p.mu.Lock()
	defer p.mu.Unlock()
	next := &pass{analyse: p.analyse, settings: settings, file: p.file, before: p.before}
	if n := len(edits); n > 0 {
		next.file = edits[n-1].file
	}
	if p.reading != nil {
		next.before = p.reading
	}
	switch {
	case edits == nil: // other settings, perhaps
	case p.glimpse != nil:
		next.from, next.steps = p.glimpse, edits
	case p.from != nil && len(p.steps)+len(edits) <= maxSteps:
		next.from = p.from
		next.steps = append(p.steps[:len(p.steps):len(p.steps)], edits...)
	}
	return next
}

// read gives what the analysis says about the text, or the context's error.
func (p *pass) read(ctx context.Context) (*analysis.Reading, error) {
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		p.mu.Lock()
		if p.reading != nil {
			defer p.mu.Unlock()
			return p.reading, nil
		}
		if p.running == nil {
			p.running = make(chan struct{})
			p.mu.Unlock()
			return p.run(ctx)
		}
		running := p.running
		p.mu.Unlock()
		select {
		case <-running:
		case <-ctx.Done():
		}
	}
}

// run does the work for all who wait.
func (p *pass) run(ctx context.Context) (reading *analysis.Reading, err error) {
	defer func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.reading = reading // nil after an error or a panic: the next one tries
		if reading != nil {
			p.before, p.from, p.steps, p.begun = nil, nil, nil, nil
			p.glimpse = reading.Glimpse()
		}
		close(p.running)
		p.running = nil
	}()
	g := p.soon(ctx)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if g == nil {
		g = p.unread()
	}
	return p.analyse(g, ctx)
}

// unread is the text with its music, before anything is found in it.
func (p *pass) unread() *analysis.Glimpse {
	p.looking.Lock()
	defer p.looking.Unlock()
	if p.begun == nil {
		p.begun = analysis.Begin(p.earlier(), p.file, p.settings())
	}
	return p.begun
}

// shortText is up to how many bytes a question about a place waits for the whole, which
// knows more and takes no longer than it would to read the music around.
const shortText = 8_000

// around is what can be asked about a place of a text while its whole is being read; nil
// once it has been read, and for a short text.
func (p *pass) around(ctx context.Context) *analysis.Glimpse {
	if g := p.meanwhile(ctx); g != nil || p.isRead() || len(p.file.Text()) <= shortText {
		return g
	}
	return p.unread()
}

// soon gives what can be said of the text at once, or nil where it takes reading the
// whole. Whoever asks while it is worked out waits.
func (p *pass) soon(ctx context.Context) *analysis.Glimpse {
	p.looking.Lock()
	defer p.looking.Unlock()
	p.mu.Lock()
	g, from, steps := p.glimpse, p.from, p.steps
	p.mu.Unlock()
	if g != nil || from == nil {
		return g
	}
	g = from
	for _, e := range steps {
		if g = g.Edit(ctx, e.file, e.span.Start, e.span.End); g == nil {
			return nil
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.glimpse == nil {
		p.glimpse = g
		p.from, p.steps, p.before = nil, nil, nil // all that they hold is in it
	}
	return p.glimpse
}

// meanwhile is what is known of a text while its whole has not been read yet; nil once
// it has, and where there is nothing.
func (p *pass) meanwhile(ctx context.Context) *analysis.Glimpse {
	if p.isRead() {
		return nil
	}
	return p.soon(ctx)
}

// isRead says that the whole has been read.
func (p *pass) isRead() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.reading != nil
}

// glimpsed is what soon has found.
func (p *pass) glimpsed() *analysis.Glimpse {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.glimpse
}

// earlier is the reading of an older text, nil for none.
func (p *pass) earlier() *analysis.Reading {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.before
}
