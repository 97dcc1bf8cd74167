package rules

import (
	"encoding/binary"
	"maps"
	"math"
	"sync"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/analysis/harp"
	"fourfold/parser/score"
)

// Memory keeps what sharing found for stretches of music, so that the same stretch,
// elsewhere in the score or after an edit somewhere else, is not worked out again.
// It may be used by several readings at a time. What it gives depends on the
// stretch alone: a reading with a memory equals one without.
type Memory struct {
	mu     sync.Mutex
	moves  map[harp.Hand]map[string][]handedOver // by the strokes of a stretch
	bytes  int                                   // that moves takes, about
	solved map[slot]*hands.Solution
	// solvers remember steps, by the kind of hand.
	solvers map[harp.Hand]*hands.Solver
	plans   map[slot]*feet.Plan
	spelt   map[string]speltMoves
	long    map[slot]*sectionReads
	trials  *trials // nil where texts are not tried
}

// speltMoves is what the cheapest spelling of a passage comes to.
type speltMoves struct{ moves, respelled int }

// slot names one fingering of a score, or one plan of the feet, so that the next
// reading can take it on.
type slot struct {
	tune, player, hand string
	played             bool // as the hands share, not as written
}

// mostSolvers bounds the kinds of hand that are remembered; past it the memory starts
// anew.
const mostSolvers = 4

// solver fingers for a hand.
func (s Settings) solver() *hands.Solver {
	m := s.memory
	if m == nil {
		return hands.NewSolver(s.Hand)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	found := m.solvers[s.Hand]
	if found == nil {
		if len(m.solvers) >= mostSolvers {
			clear(m.solvers)
		}
		found = hands.NewSolver(s.Hand)
		m.solvers[s.Hand] = found
	}
	return found
}

// solve fingers strokes, taken on from the last fingering in the slot.
func (m *Memory) solve(at slot, strokes []hands.Stroke, solver *hands.Solver) *hands.Solution {
	if m == nil {
		return solver.Solve(strokes)
	}
	m.mu.Lock()
	last := m.solved[at]
	m.mu.Unlock()
	var s *hands.Solution
	if last != nil && last.Hand == solver.Hand() {
		s = last.Resolve(strokes)
	} else {
		s = solver.Solve(strokes)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.solved[at] = s
	return s
}

// plan is feet.PlanOf, taken on from the last plan in the slot.
func (m *Memory) plan(at slot, demands []feet.Demand, o feet.PlanOptions) *feet.Plan {
	if m == nil {
		return feet.PlanOf(demands, o)
	}
	m.mu.Lock()
	last := m.plans[at]
	m.mu.Unlock()
	plan := last.Replan(demands, o)
	m.mu.Lock()
	defer m.mu.Unlock()
	m.plans[at] = plan
	return plan
}

// respelt gives the moves that the cheapest spelling of a passage needs, and how many
// notes it respells.
func (m *Memory) respelt(r restlessMusic) (moves, respelled int) {
	if m == nil {
		found := r.work()
		return found.moves, found.respelled
	}
	key := r.key()
	m.mu.Lock()
	found, ok := m.spelt[key]
	m.mu.Unlock()
	if !ok {
		found = r.work()
		m.mu.Lock()
		defer m.mu.Unlock()
		if len(m.spelt) >= mostRemembered {
			m.spelt = map[string]speltMoves{}
		}
		m.spelt[key] = found
	}
	return found.moves, found.respelled
}

// isNew says that nothing has been fingered with the memory yet.
func (m *Memory) isNew() bool {
	if m == nil {
		return true
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	return len(m.solved) == 0
}

// What is kept of sharing and of spelling is bounded; past that the memory starts anew.
const (
	mostRemembered = 20000   // passages spelt
	mostBytes      = 4 << 20 // for the stretches that were shared
	bytesBeside    = 120     // that one takes beside its strokes
)

// NewMemory is empty.
func NewMemory() *Memory {
	return &Memory{
		moves: map[harp.Hand]map[string][]handedOver{}, solved: map[slot]*hands.Solution{}, solvers: map[harp.Hand]*hands.Solver{},
		plans: map[slot]*feet.Plan{}, spelt: map[string]speltMoves{}, long: map[slot]*sectionReads{},
	}
}

// Remembering gives the settings with a memory to read with.
func (s Settings) Remembering(m *Memory) Settings {
	s.memory = m
	return s
}

// passing gives the settings with a memory that nothing is written into which is to last,
// but for the steps of the solvers: to read parts that are not kept.
func (s Settings) passing() Settings {
	own := NewMemory()
	if m := s.memory; m != nil {
		m.mu.Lock()
		defer m.mu.Unlock()
		maps.Copy(own.solvers, m.solvers)
	}
	return s.Remembering(own)
}

// Branching gives the settings with a memory of their own that begins with the
// fingerings and plans of theirs: to read a text that is only tried.
func (s Settings) Branching() Settings {
	own := NewMemory()
	if m := s.memory; m != nil {
		m.mu.Lock()
		defer m.mu.Unlock()
		maps.Copy(own.solved, m.solved)
		maps.Copy(own.solvers, m.solvers)
		maps.Copy(own.plans, m.plans)
		for at, s := range m.long {
			own.long[at] = s.branched()
		}
	}
	return s.Remembering(own)
}

// handedOver is one string of one stroke that goes to the other hand.
type handedOver struct {
	of     hands.Side // the staff it is written on
	stroke int        // of the stretch, in that staff
	str    int
}

// recall gives what is known of a stretch, or works it out; without work, nothing
// where nothing is known.
func (m *Memory) recall(w hands.Written, hand harp.Hand, work func() []handedOver) []handedOver {
	if m == nil {
		if work == nil {
			return nil
		}
		return work()
	}
	key := strokesOf(w)
	m.mu.Lock()
	found, ok := m.moves[hand][key]
	m.mu.Unlock()
	if ok || work == nil {
		return found
	}
	found = work()
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.bytes += len(key) + bytesBeside; m.bytes > mostBytes {
		m.moves, m.bytes = map[harp.Hand]map[string][]handedOver{}, len(key)+bytesBeside
	}
	if m.moves[hand] == nil {
		m.moves[hand] = map[string][]handedOver{}
	}
	m.moves[hand][key] = found
	return found
}

// strokesOf writes a stretch's strokes down to the last bit, and where they are free.
func strokesOf(w hands.Written) string {
	var key []byte
	for i, strokes := range [][]hands.Stroke{w.Staves[0], w.Staves[1], w.Bound[0], w.Bound[1]} {
		key = append(key, byte('A'+i))
		if w.Two {
			key = append(key, '2')
		}
		for _, s := range strokes {
			key = binary.LittleEndian.AppendUint64(key, math.Float64bits(s.T))
			key = append(key, byte(len(s.Strings)))
			for _, str := range s.Strings {
				key = binary.LittleEndian.AppendUint32(key, uint32(str))
			}
			key = append(key, byte(len(s.Printed)))
			for _, f := range s.Printed {
				key = append(key, byte(f))
			}
		}
	}
	for _, in := range w.Within {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(in.From))
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(in.To))
	}
	return string(key)
}

// fromZero moves a stretch so that it begins at 0 and rounds its times to 1e-9 s, so
// that the same music gives the same answer wherever it stands, and then to ticks, so
// that what a solver remembers of it is met again.
func fromZero(w hands.Written) hands.Written {
	first := math.Inf(1)
	for _, strokes := range w.Staves {
		if len(strokes) > 0 {
			first = math.Min(first, strokes[0].T)
		}
	}
	at := func(t float64) float64 { return score.Tick(math.Round((t-first)*1e9) / 1e9) }
	moved := func(strokes []hands.Stroke) []hands.Stroke {
		out := make([]hands.Stroke, len(strokes))
		for i, s := range strokes {
			out[i] = hands.Stroke{T: at(s.T), Strings: s.Strings, Printed: s.Printed}
		}
		return out
	}
	out := w
	out.Within = nil
	for _, in := range w.Within {
		out.Within = append(out.Within, hands.Interval{From: at(in.From), To: at(in.To)})
	}
	for side := range w.Staves {
		out.Staves[side], out.Bound[side] = moved(w.Staves[side]), moved(w.Bound[side])
	}
	return out
}
