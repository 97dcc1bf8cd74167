package rules

import (
	"sort"

	"fourfold/parser/score"
)

// Figure is a row of strokes of one hand that belong together in the beat.
type Figure struct{ From, To int }

// Figures groups the strokes of a hand around lo to hi by the beat, or by twice
// or four times the beat where a beat has fewer than three notes. Figures that
// begin before lo or end after hi are whole.
func (p *Part) Figures(h *Hand, lo, hi int) []Figure {
	for _, beats := range []int64{1, 2, 4} {
		figs := p.figuresBy(h, lo, hi, beats)
		for _, f := range figs {
			if f.To-f.From >= 2 {
				return figs
			}
		}
	}
	return nil
}

// Groupings are the ways to group the strokes around lo to hi: by one, two and
// four beats; none without a hand.
func (p *Part) Groupings(h *Hand, lo, hi int) (out [][]Figure) {
	if h == nil {
		return nil
	}
	for _, beats := range []int64{1, 2, 4} {
		out = append(out, p.figuresBy(h, lo, hi, beats))
	}
	return out
}

func (p *Part) figuresBy(h *Hand, lo, hi int, beats int64) (out []Figure) {
	for lo > 0 && p.sameFigure(h, lo-1, lo, beats) {
		lo--
	}
	for i := lo; i < len(h.Strokes); {
		j := i
		for j+1 < len(h.Strokes) && p.sameFigure(h, j, j+1, beats) {
			j++
		}
		out = append(out, Figure{i, j})
		if i = j + 1; i > hi {
			break
		}
	}
	return out
}

// sameFigure says whether two neighbouring strokes stand in one group of beats.
func (p *Part) sameFigure(h *Hand, i, j int, beats int64) bool {
	a, b := h.Plucks[i][0], h.Plucks[j][0]
	if a.Bar != b.Bar {
		return false
	}
	unit := p.Timeline.BeatAt(a.Bar, score.Zero).Mul(score.F(beats, 1))
	x, y := a.Onset.Div(unit), b.Onset.Div(unit)
	return x.Valid() && y.Valid() && x.Num/x.Den == y.Num/y.Den
}

// Sorted gives the strokes of a figure by string, upwards or downwards. False
// where it holds chords, graces, a string twice, or is in that order already.
func (h *Hand) Sorted(f Figure, up bool) (order []int, ok bool) {
	for i := f.From; i <= f.To; i++ {
		if len(h.Strokes[i].Strings) != 1 || h.Plucks[i][0].Grace || h.Plucks[i][0].Rolled {
			return nil, false
		}
		order = append(order, i)
	}
	if len(order) < 3 {
		return nil, false
	}
	str := func(i int) int { return h.Strokes[i].Strings[0] }
	sort.SliceStable(order, func(a, b int) bool {
		if up {
			return str(order[a]) < str(order[b])
		}
		return str(order[a]) > str(order[b])
	})
	changed := false
	for k, i := range order {
		if k > 0 && str(i) == str(order[k-1]) {
			return nil, false
		}
		changed = changed || i != f.From+k
	}
	return order, changed
}
