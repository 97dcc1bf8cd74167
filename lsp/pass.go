package lsp

import (
	"context"
	"sync"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// maxPending is how many edits are put into an old tree one after another
// before it is cheaper to read the text afresh.
const maxPending = 64

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

	mu      sync.Mutex
	base    *syntax.File      // a tree of an older text, nil for none
	pending []edit            // what leads from there to this text
	before  *analysis.Reading // of an older text, nil for none
	running chan struct{}
	file    *syntax.File
	reading *analysis.Reading
	from    *analysis.Glimpse // of an older text, nil for none
	steps   []edit            // what leads from there to this text
	glimpse *analysis.Glimpse // of this text, once there is one
	looking sync.Mutex        // held while that is worked out

	asked askedOnce
}

func newPass(a analyse, settings func() rules.Settings) *pass {
	return &pass{analyse: a, settings: settings}
}

// after is the pass over the text that the edits make. Its tree grows out of
// the one that is there by now.
func (p *pass) after(edits []edit, settings func() rules.Settings) *pass {
	p.mu.Lock()
	defer p.mu.Unlock()
	next := newPass(p.analyse, settings)
	next.before = p.before
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
	switch {
	case p.file != nil:
		next.base, next.pending = p.file, edits
	case p.base != nil && len(p.pending)+len(edits) <= maxPending:
		next.base = p.base
		next.pending = append(p.pending[:len(p.pending):len(p.pending)], edits...)
	}
	return next
}

// read gives what the analysis says about the text, or the context's error.
func (p *pass) read(ctx context.Context, text string) (*analysis.Reading, error) {
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
			return p.run(ctx, text)
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
func (p *pass) run(ctx context.Context, text string) (reading *analysis.Reading, err error) {
	defer func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.reading = reading // nil after an error or a panic: the next one tries
		if reading != nil {
			p.before, p.from, p.steps = nil, nil, nil
			p.glimpse = reading.Glimpse()
		}
		close(p.running)
		p.running = nil
	}()
	if g := p.glimpsed(); g != nil {
		return g.Whole(ctx)
	}
	return p.analyse(ctx, p.earlier(), p.tree(text), p.settings())
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
		if g = g.Edit(ctx, e.span.Start, e.span.End, []byte(e.insert)); g == nil {
			return nil
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.glimpse == nil {
		p.glimpse, p.file, p.base, p.pending = g, g.File(), nil, nil
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

// isFirst says that nothing is known of the text or an older one.
func (p *pass) isFirst() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.file == nil && p.base == nil && p.before == nil && p.reading == nil && p.running == nil
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

// tree gives the syntax tree of the text.
func (p *pass) tree(text string) *syntax.File {
	p.mu.Lock()
	file, base, pending := p.file, p.base, p.pending
	p.mu.Unlock()
	if file != nil {
		return file
	}
	if base == nil {
		file = syntax.Parse([]byte(text))
	} else {
		file = base
		for _, e := range pending {
			file = file.Edit(e.span.Start, e.span.End, []byte(e.insert))
		}
	}
	p.mu.Lock()
	p.file, p.base, p.pending = file, nil, nil
	p.mu.Unlock()
	return file
}
