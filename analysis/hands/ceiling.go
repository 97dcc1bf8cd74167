package hands

import (
	"math"

	"fourfold/analysis/harp"
)

// Ceiling is the smallest possible largest load over all fingerings of the strokes:
// divide the tempo by it, and you have the tempo beyond which no fingering in the
// model goes. 0 where nothing is needed. The strokes must be tidy, see Tidy.
//
// Changes after a gap ask for nothing, so over several passages it is the largest of
// theirs.
func Ceiling(strokes []Stroke, profile harp.Hand) float64 {
	return newHand(profile).workCeiling(strokes)
}

// workCeiling works the ceiling out.
func (h *hand) workCeiling(strokes []Stroke) float64 {
	p := programmes.Get().(*programme)
	defer p.end()
	p.begin(strokes, h)
	var loads [window][mostStates]float64
	for i := len(strokes) - 1; i >= 0; i-- {
		p.ceilingStep(i, &loads)
	}
	if len(strokes) == 0 {
		return 0
	}
	least := math.Inf(1)
	for s := range p.column(0).states {
		least = min(least, loads[0][s])
	}
	return least
}

// ceilingStep fills the loads of the states that start at stroke i: the smallest
// possible largest load from there to the end.
func (p *programme) ceilingStep(i int, loads *[window][mostStates]float64) {
	c := p.column(i)
	here := &loads[i%window]
	var pairs [mostStrings]pair
	for s := range c.states {
		st := &c.states[s]
		a := &c.runs[st.run]
		here[s] = a.load
		end := a.to() + 1
		if end == len(p.strokes) {
			continue
		}
		next, after := p.column(end), &loads[end%window]
		best := math.Inf(1)
		for _, n := range next.sorted {
			if after[n] >= best || best <= a.load {
				break
			}
			t := &next.states[n]
			pr := &pairs[t.run]
			if pr.a != a {
				*pr = pair{}
				pr.set(a, &next.runs[t.run], p.h)
			}
			if l, ok := pr.loadWithin(best, pr.change(st, t), st, t, p.h); ok {
				best = min(best, max(after[n], l))
			}
		}
		here[s] = max(a.load, best)
	}
	for s := range c.states {
		j := len(c.sorted)
		c.sorted = append(c.sorted, int8(s))
		for ; j > 0 && here[s] < here[c.sorted[j-1]]; j-- {
			c.sorted[j] = c.sorted[j-1]
		}
		c.sorted[j] = int8(s)
	}
}
