package rules

import (
	"sync"

	"fourfold/analysis/hands"
)

// BarLoad is what one bar asks of the hands: the need divided by the time there is, so
// that 1 is the most that can be played. Right hand first.
type BarLoad struct {
	Hands      [2]float64
	Impossible [2]bool        // a stroke that no hand takes at any tempo
	Places     [2]hands.Pluck // where each hand has least time
}

// worse says whether a bar asks more than it does otherwise.
func (b *BarLoad) worse(than *BarLoad) bool {
	if a, o := b.Impossible[0] || b.Impossible[1], than.Impossible[0] || than.Impossible[1]; a != o {
		return a
	}
	return max(b.Hands[0], b.Hands[1]) > max(than.Hands[0], than.Hands[1])
}

// Tightest is where the hands have least time.
type Tightest struct {
	Load  float64 // 0 where nothing limits the tempo
	Side  int     // 0 right, 1 left
	Pluck hands.Pluck
}

// Loads measures each bar, from bar 1, and finds the tightest place: as the hands share
// the notes or, where a bar is easier so, as they are written.
func (p *Part) Loads() (bars []BarLoad, worst Tightest) {
	last := p.Timeline.Bars()
	bars, worst = p.LoadsIn(p.Played, 1, last)
	if written := p.written(); p.Played != written {
		plain, _ := p.LoadsIn(written, 1, last)
		for i := range bars {
			if bars[i].worse(&plain[i]) {
				bars[i] = plain[i]
			}
		}
		worst = tightestOf(bars)
	}
	return bars, worst
}

// written are the hands as written, right first.
func (p *Part) written() [2]*Hand { return [2]*Hand{p.Right, p.Left} }

func tightestOf(bars []BarLoad) (worst Tightest) {
	for i := range bars {
		for side, load := range bars[i].Hands {
			if load > worst.Load {
				worst = Tightest{load, side, bars[i].Places[side]}
			}
		}
	}
	return worst
}

// LoadsIn measures some bars, from the first of them on. A load is that of the fingering
// shown or, where another fingering asks less, that one's: of the whole passage where there
// is time, of the placings around where there is not, as for the findings.
func (p *Part) LoadsIn(hands [2]*Hand, from, to int) (bars []BarLoad, worst Tightest) {
	m := measure{part: p, from: from, bars: make([]BarLoad, max(0, to-from+1))}
	m.take(hands)
	return m.bars, tightestOf(m.bars)
}

// measure takes the loads of some bars.
type measure struct {
	part *Part
	from int // the first of them
	bars []BarLoad
}

// at is the load of a bar; nil for one that is not measured.
func (m *measure) at(bar int) *BarLoad {
	if i := bar - m.from; i >= 0 && i < len(m.bars) {
		return &m.bars[i]
	}
	return nil
}

// take measures the passages of the hands that touch the bars.
func (m *measure) take(hands [2]*Hand) {
	to := m.from + len(m.bars) - 1
	for side, h := range hands {
		if h == nil {
			continue
		}
		pls := h.Solution.Placings
		for _, passage := range h.Solution.Passages() {
			if h.Plucks[pls[passage.From].From][0].Bar <= to && h.Plucks[pls[passage.To].To][0].Bar >= m.from {
				m.passage(h, side, passage)
			}
		}
	}
}

func (m *measure) passage(h *Hand, side int, passage hands.Passage) {
	ceiling := sync.OnceValue(func() float64 { return h.ceilingOf(passage.From, passage.To) })
	for i := passage.From; i <= passage.To; i++ {
		m.placing(h, side, passage, i, ceiling)
	}
}

// placing takes the loads of one placing of a passage, whose ceiling is worked out
// where it is asked for.
func (m *measure) placing(h *Hand, side int, passage hands.Passage, i int, ceiling func() float64) {
	if pl := &h.Solution.Placings[i]; pl.Impossible {
		if b := m.at(h.Plucks[pl.From][0].Bar); b != nil {
			b.Impossible[side] = true
		}
	}
	around := sync.OnceValue(func() float64 {
		return h.ceilingOf(max(passage.From, i-4), min(passage.To, i+3))
	})
	for _, n := range h.needsIn(passage, i) {
		least := ceiling
		if n.Load > 1 {
			least = around
		}
		pluck := h.Plucks[n.To][0]
		if b := m.at(pluck.Bar); b != nil {
			if load := min(n.Load, least()); load > b.Hands[side] {
				b.Hands[side], b.Places[side] = load, pluck
			}
		}
	}
}

// needsIn are the needs of a placing and of the way to it in its passage.
func (h *Hand) needsIn(passage hands.Passage, i int) []hands.Need {
	inside := h.Solution.Inside(i)
	if i == passage.From {
		return inside
	}
	return append(h.Solution.Needs(i), inside...)
}
