package analysis

import (
	"context"
	"sync"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// answers keeps what was proved for the findings of one reading, so that a list of
// changes, the change that is picked from it and the hover work it out once. The
// zero value is ready; many may ask at once.
type answers struct {
	mu    sync.Mutex
	known map[asked]fix.Answer
}

// asked knows a finding among those of one reading.
type asked struct {
	rule, hand, tune, voice string
	span                    score.Span
}

// of gives the answer about a finding, by work where it is not known yet. An answer
// that the end of the context cut short is not kept.
func (a *answers) of(ctx context.Context, f rules.Finding, work func() fix.Answer) fix.Answer {
	if found, ok := a.find(f); ok {
		return found
	}
	found := work()
	if ctx.Err() != nil {
		return found
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.known == nil {
		a.known = map[asked]fix.Answer{}
	}
	a.known[askedOf(f)] = found
	return found
}

// find gives the answer about a finding where it is known.
func (a *answers) find(f rules.Finding) (fix.Answer, bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	found, ok := a.known[askedOf(f)]
	return found, ok
}

func askedOf(f rules.Finding) asked { return asked{f.Rule, f.Hand, f.Tune, f.Voice, f.Span} }
