package rules

import (
	"cmp"
	"slices"
)

// mostAtOnce bounds how many instants are shared in one search; longer stretches
// are cut.
const mostAtOnce = 24

// struckAt is a time at which a hand strikes.
type struckAt struct {
	t    float64
	gap  float64 // seconds since the instant before; 0 for the first
	sign uint64  // of the strings struck here and just before
}

// pieces cuts instants so that no piece holds more than one search takes. They are cut
// where most time passes, and among equal times by what is struck there: whether a place
// is cut depends on no more than mostAtOnce instants on each side of it, so that an edit
// changes the pieces around it and no others.
func pieces(all []struckAt) (out []window) {
	from := 0
	for _, i := range cuts(all) {
		out = append(out, window{all[from].t, all[i-1].t})
		from = i
	}
	if from < len(all) {
		out = append(out, window{all[from].t, all[len(all)-1].t})
	}
	return out
}

// cuts are the instants before which to cut: each that comes first among more than
// mostAtOnce around it.
func cuts(all []struckAt) (at []int) {
	left := make([]int, len(all)) // the nearest that comes before it in rank
	var higher []int
	for i := range all {
		for len(higher) > 0 && all[i].before(&all[higher[len(higher)-1]]) {
			higher = higher[:len(higher)-1]
		}
		if n := len(higher); n > 0 {
			left[i] = higher[n-1]
		}
		higher = append(higher, i)
	}
	higher = higher[:0]
	for i := len(all) - 1; i > 0; i-- {
		for len(higher) > 0 && !all[higher[len(higher)-1]].before(&all[i]) {
			higher = higher[:len(higher)-1]
		}
		right := len(all)
		if n := len(higher); n > 0 {
			right = higher[n-1]
		}
		higher = append(higher, i)
		if right-left[i] > mostAtOnce {
			at = append(at, i)
		}
	}
	slices.Reverse(at)
	return at
}

// before says whether a stretch is cut rather before s than before o.
func (s *struckAt) before(o *struckAt) bool {
	if s.gap != o.gap {
		return s.gap > o.gap
	}
	return s.sign > o.sign
}

// instantsIn are the times within a window at which either hand strikes.
func (p *Part) instantsIn(w window) (out []struckAt) {
	for _, h := range p.Hands() {
		from, to := h.strokesIn(w)
		for i := from; i < to; i++ {
			out = append(out, struckAt{t: h.Strokes[i].T, sign: signOf(h.Strokes[i].Strings)})
		}
	}
	slices.SortFunc(out, func(a, b struckAt) int { return cmp.Or(cmp.Compare(a.t, b.t), cmp.Compare(a.sign, b.sign)) })
	kept := out[:0]
	for _, s := range out {
		if n := len(kept) - 1; n >= 0 && s.t-kept[n].t < 1e-9 {
			kept[n].sign = mixed(kept[n].sign, s.sign)
			continue
		}
		kept = append(kept, s)
	}
	for i := len(kept) - 1; i > 0; i-- {
		kept[i].gap = tickOf(kept[i].t - kept[i-1].t)
		kept[i].sign = mixed(kept[i-1].sign, kept[i].sign)
	}
	return kept
}

// tickOf rounds a gap to microseconds, so that gaps that the page writes alike are
// equal.
func tickOf(gap float64) float64 { return float64(int64(gap*1e6 + 0.5)) }

// signOf and mixed make a number of what is struck.
func signOf(strs []int) (sign uint64) {
	for _, s := range strs {
		sign = mixed(sign, uint64(s)+1)
	}
	return sign
}

func mixed(a, b uint64) uint64 {
	const odd = 0x9e3779b97f4a7c15
	a = (a ^ b) * odd
	return a ^ a>>29
}
