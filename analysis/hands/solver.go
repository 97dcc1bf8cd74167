package hands

import (
	"encoding/binary"
	"hash/maphash"
	"math"
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
	h.memo, h.ceilings = newMemo(), newCeilings()
	return &Solver{h}
}

// Solve finds the cheapest fingering, see the function of that name.
func (s *Solver) Solve(strokes []Stroke) *Solution { return newProgramme(strokes, s.h).solve() }

// Ceiling is the smallest possible largest load of all fingerings, see the function of
// that name.
func (s *Solver) Ceiling(strokes []Stroke) float64 { return s.h.ceiling(strokes) }

// Ceiling is that of the strokes from one to another, ends included.
func (s *Solution) Ceiling(from, to int) float64 { return s.h.ceiling(s.Strokes[from : to+1]) }

// worthwhile is how many strokes a memo pays for that serves one piece only.
const worthwhile = 4 * blockLen

// memoFor gives a programme for so many strokes a memo to work with; nil for none.
func (h *hand) memoFor(strokes int) *memo {
	if h.memo == nil && strokes >= worthwhile {
		return newMemo()
	}
	return h.memo
}

// ceilings remembers the ceilings of strokes, by 128 bits of a hash of them; in two
// generations, as a memo does.
type ceilings struct {
	mu       sync.Mutex
	new, old map[likeness]float64
	seeds    [2]maphash.Seed
}

func newCeilings() *ceilings {
	return &ceilings{new: map[likeness]float64{}, seeds: [2]maphash.Seed{maphash.MakeSeed(), maphash.MakeSeed()}}
}

// key is what the ceiling of strokes is remembered under; false where it cannot be.
func (c *ceilings) key(strokes []Stroke) (key likeness, ok bool) {
	if len(strokes) == 0 {
		return key, false
	}
	buffer := make([]byte, 0, 16*len(strokes))
	lowest, before := strokes[0].counted()[0], strokes[0].T
	for _, s := range strokes {
		form, ok := strokeKey(Stroke{Strings: s.Strings}, false, lowest)
		if _, exact := ticks(s.T); !ok || !exact {
			return key, false
		}
		buffer = binary.LittleEndian.AppendUint64(buffer, form)
		buffer = binary.LittleEndian.AppendUint64(buffer, math.Float64bits(s.T-before))
		before = s.T
	}
	return likeness{maphash.Bytes(c.seeds[0], buffer), maphash.Bytes(c.seeds[1], buffer)}, true
}

// find gives the ceiling that is remembered; false for none.
func (c *ceilings) find(key likeness) (load float64, ok bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if load, ok = c.new[key]; ok {
		return load, true
	}
	if load, ok = c.old[key]; ok {
		c.write(key, load)
	}
	return load, ok
}

func (c *ceilings) keep(key likeness, load float64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.write(key, load)
}

func (c *ceilings) write(key likeness, load float64) {
	if len(c.new) >= generation {
		c.old, c.new = c.new, map[likeness]float64{}
	}
	c.new[key] = load
}

// ceiling is the ceiling of strokes, worked out or remembered.
func (h *hand) ceiling(strokes []Stroke) float64 {
	if h.ceilings == nil {
		return h.workCeiling(strokes)
	}
	key, ok := h.ceilings.key(strokes)
	if !ok {
		return h.workCeiling(strokes)
	}
	load, known := h.ceilings.find(key)
	if !known {
		load = h.workCeiling(strokes)
		h.ceilings.keep(key, load)
	}
	return load
}

// Hand is what the solver fingers for.
func (s *Solver) Hand() harp.Hand { return s.h.Hand }
