package rules

import (
	"cmp"
	"context"
	"slices"
	"sort"
	"sync"

	"fourfold/analysis/hands"
)

// TightestIn is the tightest place of some bars, as Loads finds it, without measuring
// every bar: from the bar whose fingering is shown with the largest load on, until no
// other can be worse. A bar's load is at most that of the fingering, as another one only
// asks less. The only error is the context's.
func (p *Part) TightestIn(ctx context.Context, from, to int) (worst Tightest, err error) {
	most := make([]float64, max(0, to-from+1))
	ways := [][2]*Hand{p.Played}
	if written := p.written(); p.Played != written {
		ways = append(ways, written)
	}
	for _, hands := range ways {
		boundLoads(most, from, hands)
	}
	order := make([]int, 0, len(most))
	for i, load := range most {
		if load > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(most[b], most[a]) })
	m := barMeasure{measure: measure{part: p, bars: make([]BarLoad, 1)}, hands: map[*Hand][]measuredPassage{}}
	for _, i := range order {
		if most[i] < worst.Load || ctx.Err() != nil {
			break
		}
		if most[i] == worst.Load && from+i > worst.Pluck.Bar {
			continue
		}
		here := m.bar(from+i, ways)
		if w := tightestOf([]BarLoad{here}); w.Load > worst.Load || w.Load == worst.Load && w.Load > 0 && w.Pluck.Bar < worst.Pluck.Bar {
			worst = w
		}
	}
	return worst, ctx.Err()
}

// boundLoads raises the load of each bar, from a first one on, to that of the placings in
// it and of the ways to them.
func boundLoads(most []float64, from int, hands [2]*Hand) {
	for _, h := range hands {
		if h == nil {
			continue
		}
		for i := range h.Solution.Placings {
			pl := &h.Solution.Placings[i]
			first, last := h.Plucks[pl.From][0].Bar-from, h.Plucks[pl.To][0].Bar-from
			for bar := max(0, first); bar <= min(last, len(most)-1); bar++ {
				most[bar] = max(most[bar], pl.Load, pl.ChangeLoad)
			}
		}
	}
}

// barMeasure takes the loads of single bars.
type barMeasure struct {
	measure
	hands map[*Hand][]measuredPassage
}

// measuredPassage is a passage and its ceiling, worked out once.
type measuredPassage struct {
	hands.Passage
	ceiling func() float64
}

// bar measures one bar as Loads does: as the hands share the notes or, where that is
// easier, as they are written.
func (m *barMeasure) bar(bar int, ways [][2]*Hand) (least BarLoad) {
	for i, way := range ways {
		m.from, m.bars[0] = bar, BarLoad{}
		for side, h := range way {
			if h != nil {
				m.hand(h, side, bar)
			}
		}
		if i == 0 || least.worse(&m.bars[0]) {
			least = m.bars[0]
		}
	}
	return least
}

// hand takes the loads of a hand's placings that touch a bar.
func (m *barMeasure) hand(h *Hand, side, bar int) {
	passages := m.passages(h)
	pls := h.Solution.Placings
	first := sort.Search(len(pls), func(i int) bool { return h.Plucks[pls[i].To][0].Bar >= bar })
	for i := first; i < len(pls) && h.Plucks[pls[i].From][0].Bar <= bar; i++ {
		p := passages[sort.Search(len(passages), func(k int) bool { return passages[k].To >= i })]
		m.placing(h, side, p.Passage, i, p.ceiling)
	}
}

// passages are those of a hand.
func (m *barMeasure) passages(h *Hand) []measuredPassage {
	if known, ok := m.hands[h]; ok {
		return known
	}
	var list []measuredPassage
	for _, p := range h.Solution.Passages() {
		list = append(list, measuredPassage{p, sync.OnceValue(func() float64 { return h.ceilingOf(p.From, p.To) })})
	}
	m.hands[h] = list
	return list
}
