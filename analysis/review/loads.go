package review

import (
	"math"
	"sync"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// barLoad is what one bar asks of hands and feet: the need divided by the time
// there is, so that 1 is the most that can be played.
type barLoad struct {
	hands      [2]float64 // right, left
	impossible [2]bool    // a stroke that no hand takes at any tempo
	feet       float64
	places     [2]hands.Pluck // where each hand has least time
}

func (b barLoad) most() float64 { return max(b.hands[0], b.hands[1], b.feet) }

// stuck says that something in the bar cannot be played at any tempo.
func (b barLoad) stuck() bool {
	return b.impossible[0] || b.impossible[1] || math.IsInf(b.feet, 1)
}

// worse says whether a bar asks more of the hands than it does otherwise.
func (b barLoad) worse(than barLoad) bool {
	if a, o := b.impossible[0] || b.impossible[1], than.impossible[0] || than.impossible[1]; a != o {
		return a
	}
	return max(b.hands[0], b.hands[1]) > max(than.hands[0], than.hands[1])
}

// tightest is where the hands have least time.
type tightest struct {
	load  float64 // 0 where nothing limits the tempo
	side  int     // 0 right, 1 left
	pluck hands.Pluck
}

// loadsOf measures each bar, from bar 1, and finds the tightest place: as the
// hands share the notes or, where a bar is easier so, as they are written.
func loadsOf(p *rules.Part, f footwork) (bars []barLoad, worst tightest) {
	last := p.Timeline.Bars()
	bars, worst = loadsIn(p, p.Played, 1, last)
	if p.Played != written(p) {
		plain, _ := loadsIn(p, written(p), 1, last)
		for i := range bars {
			if bars[i].worse(plain[i]) {
				bars[i] = plain[i]
			}
		}
		worst = tightestOf(bars)
	}
	if f.plan != nil {
		for _, m := range f.plan.Moves {
			if b := at(bars, f.place(m).Bar); b != nil {
				b.feet = max(b.feet, load(m))
			}
		}
	}
	return bars, worst
}

func tightestOf(bars []barLoad) (worst tightest) {
	for _, b := range bars {
		for side, load := range b.hands {
			if load > worst.load {
				worst = tightest{load: load, side: side, pluck: b.places[side]}
			}
		}
	}
	return worst
}

// loadsIn measures some bars. A load is that of the fingering shown or, where
// another fingering asks less, that one's: of the whole passage where there is
// time, of the placings around where there is not, as for the findings.
func loadsIn(p *rules.Part, hands [2]*rules.Hand, from, to int) (bars []barLoad, worst tightest) {
	m := measure{part: p, bars: make([]barLoad, p.Timeline.Bars()), from: from, to: to}
	m.take(hands)
	return m.bars, tightestOf(m.bars)
}

func at(bars []barLoad, bar int) *barLoad {
	if bar < 1 || bar > len(bars) {
		return nil
	}
	return &bars[bar-1]
}

// measure takes the loads of some bars.
type measure struct {
	part     *rules.Part
	bars     []barLoad
	from, to int
}

// take measures the passages of the hands that touch the bars.
func (m *measure) take(hands [2]*rules.Hand) {
	for side, h := range hands {
		if h == nil {
			continue
		}
		pls := h.Solution.Placings
		for _, passage := range h.Solution.Passages() {
			if h.Plucks[pls[passage.From].From][0].Bar <= m.to && h.Plucks[pls[passage.To].To][0].Bar >= m.from {
				m.passage(h, side, passage)
			}
		}
	}
}

func (m *measure) passage(h *rules.Hand, side int, passage hands.Passage) {
	ceiling := sync.OnceValue(func() float64 { return ceilingOf(h, passage.From, passage.To) })
	for i := passage.From; i <= passage.To; i++ {
		m.placing(h, side, passage, i, ceiling)
	}
}

// placing takes the loads of one placing of a passage, whose ceiling is worked out
// where it is asked for.
func (m *measure) placing(h *rules.Hand, side int, passage hands.Passage, i int, ceiling func() float64) {
	pls := h.Solution.Placings
	if pls[i].Impossible {
		if b := at(m.bars, h.Plucks[pls[i].From][0].Bar); b != nil {
			b.impossible[side] = true
		}
	}
	around := sync.OnceValue(func() float64 {
		return ceilingOf(h, max(passage.From, i-4), min(passage.To, i+3))
	})
	for _, n := range needs(h, passage, i) {
		least := ceiling
		if n.Load > 1 {
			least = around
		}
		m.note(h.Plucks[n.To][0], side, min(n.Load, least()))
	}
}

// ceilingOf is the least possible largest load of some placings' strokes.
func ceilingOf(h *rules.Hand, from, to int) float64 {
	pls := h.Solution.Placings
	return h.Solution.Ceiling(pls[from].From, pls[to].To)
}

func (m *measure) note(pluck hands.Pluck, side int, load float64) {
	if pluck.Bar < m.from || pluck.Bar > m.to {
		return
	}
	if b := at(m.bars, pluck.Bar); b != nil && load > b.hands[side] {
		b.hands[side], b.places[side] = load, pluck
	}
}

// needs are those of a placing and of the way to it.
func needs(h *rules.Hand, passage hands.Passage, i int) []hands.Need {
	inside := h.Solution.Inside(i)
	if i == passage.From {
		return inside
	}
	return append(h.Solution.Needs(i), inside...)
}

// tempoAt is the tempo in force at a place, in quarters a minute, and its beat.
func tempoAt(p *rules.Part, bar int, onset score.Frac) (quarters float64, beat score.Frac) {
	return p.Timeline.QuartersAt(bar, onset), p.Timeline.BeatAt(bar, onset)
}
