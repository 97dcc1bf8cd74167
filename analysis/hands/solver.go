package hands

import (
	"encoding/binary"
	"hash/maphash"
	"sync"

	"fourfold/analysis/harp"
)

// Solver fingers for one hand, and remembers the steps that it worked out: music that
// says the same again, in another piece or after an edit, costs a look-up. What it gives
// depends on the strokes alone. Solutions that it makes share its memory when they are
// taken on. It may be used by several goroutines at a time.
type Solver struct{ h *hand }

// NewSolver remembers nothing yet. It grows to some ten megabytes at most.
func NewSolver(profile harp.Hand) *Solver {
	h := newHand(profile)
	h.memory = &memory{ceilings: newCeilings()}
	return &Solver{h}
}

// Solve finds the cheapest fingering, see the function of that name.
func (s *Solver) Solve(strokes []Stroke) *Solution { return newProgramme(strokes, s.h).solve() }

// Ceiling is the smallest possible largest load of all fingerings, see the function of
// that name.
func (s *Solver) Ceiling(strokes []Stroke) float64 { return s.h.ceiling(strokes) }

// Ceiling is that of the strokes from one to another, ends included.
func (s *Solution) Ceiling(from, to int) float64 { return s.h.ceiling(s.Strokes[from : to+1]) }

// memory is what a solver remembers.
type memory struct {
	mu       sync.Mutex
	spare    []*memo // no programme works with these
	ceilings ceilings
}

// mostSpare is how many programmes that work at a time find a memo again afterwards.
const mostSpareMemos = 4

// worthwhile is how many strokes a memo pays for that serves one piece only.
const worthwhile = 4 * blockLen

// memo gives a programme for so many strokes a memo to work with; nil for none.
func (h *hand) memo(strokes int) *memo {
	if h.memory == nil {
		if strokes < worthwhile {
			return nil
		}
		return newMemo()
	}
	m := h.memory
	m.mu.Lock()
	defer m.mu.Unlock()
	last := len(m.spare) - 1
	if last < 0 {
		return newMemo()
	}
	given := m.spare[last]
	m.spare = m.spare[:last]
	return given
}

// giveBack takes a memo back from a programme.
func (h *hand) giveBack(given *memo) {
	if h.memory == nil || given == nil {
		return
	}
	m := h.memory
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.spare) < mostSpareMemos {
		m.spare = append(m.spare, given)
	}
}

// ceilings remembers the ceilings of strokes, by 128 bits of a hash of them; in two
// generations, as a memo does.
type ceilings struct {
	new, old map[likeness]float64
	seeds    [2]maphash.Seed
	buffer   []byte
}

func newCeilings() ceilings {
	return ceilings{new: map[likeness]float64{}, seeds: [2]maphash.Seed{maphash.MakeSeed(), maphash.MakeSeed()}}
}

// key is what the ceiling of strokes is remembered under; false where it cannot be.
func (c *ceilings) key(strokes []Stroke) (key likeness, ok bool) {
	if len(strokes) == 0 {
		return key, false
	}
	c.buffer = c.buffer[:0]
	lowest, before := strokes[0].counted()[0], int64(0)
	for i, s := range strokes {
		form, ok := strokeKey(Stroke{Strings: s.Strings}, false, lowest)
		now, exact := ticks(s.T)
		if !ok || !exact {
			return key, false
		}
		if i == 0 {
			before = now
		}
		c.buffer = binary.LittleEndian.AppendUint64(c.buffer, form)
		c.buffer = binary.LittleEndian.AppendUint64(c.buffer, uint64(now-before))
		before = now
	}
	return likeness{maphash.Bytes(c.seeds[0], c.buffer), maphash.Bytes(c.seeds[1], c.buffer)}, true
}

// find gives the ceiling that is remembered; false for none.
func (c *ceilings) find(key likeness) (load float64, ok bool) {
	if load, ok = c.new[key]; ok {
		return load, true
	}
	if load, ok = c.old[key]; ok {
		c.keep(key, load)
	}
	return load, ok
}

func (c *ceilings) keep(key likeness, load float64) {
	if len(c.new) >= generation {
		c.old, c.new = c.new, map[likeness]float64{}
	}
	c.new[key] = load
}

// ceiling is the ceiling of strokes, worked out or remembered.
func (h *hand) ceiling(strokes []Stroke) float64 {
	m := h.memory
	if m == nil {
		return h.workCeiling(strokes)
	}
	m.mu.Lock()
	key, ok := m.ceilings.key(strokes)
	load, known := m.ceilings.find(key)
	m.mu.Unlock()
	if ok && known {
		return load
	}
	load = h.workCeiling(strokes)
	if ok {
		m.mu.Lock()
		m.ceilings.keep(key, load)
		m.mu.Unlock()
	}
	return load
}

// Hand is what the solver fingers for.
func (s *Solver) Hand() harp.Hand { return s.h.Hand }
