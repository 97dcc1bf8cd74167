package rules

import (
	"slices"
	"sync"

	"fourfold/analysis/hands"
)

// trials keep how the hands play a text of which changes are tried one after another:
// as it stands, and as it was tried last. A change that leaves a hand alone, and one
// that is looked at twice, costs that hand nothing.
type trials struct {
	mu   sync.Mutex
	base map[slot]fingering
	last map[slot]fingering
}

// fingering is how a hand plays, and where it has no time.
type fingering struct {
	solution *hands.Solution
	runs     []run
}

// Trying gives the settings with a memory for a text, read first, and for changes of it
// that are only tried.
func (s Settings) Trying() Settings {
	m := NewMemory()
	m.trials = &trials{base: map[slot]fingering{}, last: map[slot]fingering{}}
	return s.Remembering(m)
}

func (m *Memory) trying() *trials {
	if m == nil {
		return nil
	}
	return m.trials
}

// finger works out how a hand plays: what is there, where it is the same, else from the
// text as it stands.
func (t *trials) finger(at slot, strokes []hands.Stroke, solver *hands.Solver) (*hands.Solution, []run) {
	t.mu.Lock()
	base, last := t.base[at], t.last[at]
	t.mu.Unlock()
	for _, f := range []fingering{last, base} {
		if f.solution != nil && f.solution.Hand == solver.Hand() && sameStrokes(f.solution.Strokes, strokes) {
			return f.solution, f.runs
		}
	}
	now := fingering{}
	if base.solution != nil && base.solution.Hand == solver.Hand() {
		now.solution = base.solution.Resolve(strokes)
	} else {
		now.solution = solver.Solve(strokes)
	}
	now.runs = findRuns(&Hand{Staff: hands.Staff{Strokes: strokes}, Solution: now.solution})
	t.mu.Lock()
	defer t.mu.Unlock()
	if base.solution == nil {
		t.base[at] = now
	}
	t.last[at] = now
	return now.solution, now.runs
}

func sameStrokes(a, b []hands.Stroke) bool {
	return slices.EqualFunc(a, b, func(x, y hands.Stroke) bool {
		return x.T == y.T && slices.Equal(x.Strings, y.Strings) && slices.Equal(x.Printed, y.Printed)
	})
}

// Overloads counts the runs of placings that a hand, playing other strokes than are
// written, has no time for, among those that touch a stretch of time in seconds: what
// hands/restrike, hands/turn and hands/new-placing would find together.
func (p *Part) Overloads(h *Hand, strokes []hands.Stroke, from, to float64) (n int) {
	is := &Hand{Staff: hands.Staff{Strokes: strokes}}
	if t := p.Settings.memory.trying(); t != nil {
		is.Solution, is.runs = t.finger(p.slotOf(h.Name, false), strokes, p.Settings.solver())
	} else {
		is.Solution = h.Solution.Resolve(strokes)
		is.runs = findRuns(is)
	}
	for _, r := range is.runs {
		if t := is.timeOf(r); t.from <= to && from <= t.to {
			n++
		}
	}
	return n
}
