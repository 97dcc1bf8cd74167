package rules

import (
	"sort"

	"fourfold/analysis/hands"
)

// window is a stretch of time in which a hand cannot play its staff as written.
type window struct{ from, to float64 }

func (w window) holds(t float64) bool { return w.from <= t && t <= w.to }

// freeBeside is how many instants before and after a trouble may change hands too: the hand
// comes from there, and goes on there.
const freeBeside = 4

// piece is some music that is shared in one search. What may change hands in it lies in
// and right beside the places that a hand cannot play; the rest is what the hands come
// from and go on to.
type piece struct {
	window
	free []hands.Interval
}

// troubledPieces are the music around the places that a written hand cannot play, with a
// second on each side, cut where it is too long for one search.
func (p *Part) troubledPieces() (out []piece) {
	troubles := p.troubles()
	for _, w := range merged(troubles, p.Settings.Hand.Afresh) {
		all := p.instantsIn(w)
		for _, w := range pieces(all) {
			own := all[indexAt(all, w.from):indexAfter(all, w.to)]
			if free := freeIn(own, touching(troubles, w)); len(free) > 0 {
				out = append(out, piece{w, free})
			}
		}
	}
	return out
}

// troubles are the times in which a written hand is overloaded or asked for what no hand
// takes, joined where they touch.
func (p *Part) troubles() (out []window) {
	for _, h := range p.Hands() {
		for _, t := range h.troubles() {
			out = append(out, t.window)
		}
	}
	return merged(out, 0)
}

// merged widens windows on both sides and makes one of those that touch.
func merged(windows []window, more float64) (out []window) {
	sort.Slice(windows, func(i, j int) bool { return windows[i].from < windows[j].from })
	for _, w := range windows {
		w = window{w.from - more, w.to + more}
		if n := len(out) - 1; n >= 0 && w.from <= out[n].to {
			out[n].to = max(out[n].to, w.to)
			continue
		}
		out = append(out, w)
	}
	return out
}

// touching are those of the windows, which stand in order and apart, that touch w.
func touching(windows []window, w window) []window {
	from := sort.Search(len(windows), func(i int) bool { return windows[i].to >= w.from })
	to := sort.Search(len(windows), func(i int) bool { return windows[i].from > w.to })
	return windows[from:max(from, to)]
}

// freeIn are the times of some instants between which notes may change hands.
func freeIn(all []struckAt, troubles []window) (out []hands.Interval) {
	for _, t := range troubles {
		from, to := max(0, indexAt(all, t.from)-freeBeside), min(len(all), indexAfter(all, t.to)+freeBeside)
		if from < to {
			out = append(out, hands.Interval{From: all[from].t, To: all[to-1].t})
		}
	}
	return out
}

// indexAt is the first of the instants at a time or after it, indexAfter the first after
// it.
func indexAt(all []struckAt, t float64) int {
	return sort.Search(len(all), func(i int) bool { return all[i].t >= t-1e-9 })
}

func indexAfter(all []struckAt, t float64) int {
	return sort.Search(len(all), func(i int) bool { return all[i].t > t+1e-9 })
}

// trouble is a time in which a hand cannot play what it has, and by how much.
type trouble struct {
	window
	load float64
}

// notTaken stands for the load of a stroke that no hand takes.
const notTaken = 10

func (h *Hand) troubles() (out []trouble) {
	for _, r := range h.runs {
		out = append(out, trouble{h.timeOf(r), r.load})
	}
	for _, pl := range h.Solution.Placings {
		if pl.Impossible {
			t := h.Strokes[pl.From].T
			out = append(out, trouble{window{t, t}, notTaken})
		}
	}
	return out
}

func (h *Hand) timeOf(r run) window {
	pls := h.Solution.Placings
	return window{h.Strokes[pls[r.from].From].T, h.Strokes[pls[r.to].To].T}
}

// strokesIn are the strokes of a hand within a window, the last one excluded.
func (h *Hand) strokesIn(w window) (from, to int) {
	from = sort.Search(len(h.Strokes), func(i int) bool { return h.Strokes[i].T >= w.from })
	to = sort.Search(len(h.Strokes), func(i int) bool { return h.Strokes[i].T > w.to })
	return from, to
}
