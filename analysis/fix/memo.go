package fix

import (
	"sync"

	"fourfold/parser/score"
)

// Memo keeps what the questions about one text share: the excerpt that was read last,
// since the findings of a bar are asked about one after another. The zero value is
// ready; many may ask at once.
type Memo struct {
	mu   sync.Mutex
	last *scene
	of   *score.Tune
	bars [2]int
}

// scene gives the excerpt of the bars around a finding; false where it is not the music
// that was cut out.
func (m *Memo) scene(q Question, t *score.Tune, more int) (*scene, bool) {
	lo, hi := max(0, q.Finding.Bar-1-more), min(q.Finding.EndBar-1+more, t.Bars()-1)
	if m == nil {
		return readScene(q, t, cut(q.File, t, lo, hi))
	}
	m.mu.Lock()
	sc := m.last
	known := sc != nil && m.of == t && m.bars == [2]int{lo, hi}
	m.mu.Unlock()
	if known {
		return sc, true
	}
	sc, ok := readScene(q, t, cut(q.File, t, lo, hi))
	if ok {
		m.mu.Lock()
		defer m.mu.Unlock()
		m.last, m.of, m.bars = sc, t, [2]int{lo, hi}
	}
	return sc, ok
}
