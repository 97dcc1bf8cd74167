package rules

import (
	"fmt"
	"strings"

	"fourfold/analysis/hands"
)

const turnName = "hands/turn"

// Turn finds figures that change direction too fast.
var Turn = Rule{
	Name:  turnName,
	Title: "the figure turns back too fast",
	Doc: `A group of notes that goes one way, all up or all down, is set once and rolls off the fingers.
When it turns back, the hand has to unpick its order or set the strings anew, and that takes longer.
At the piano this difference hardly exists.

Fails: DFdA in sixteenths at ♩ = 160. Passes: DFAd, the same notes in one direction.

What to do: put the notes of the figure in one direction, or take it slower.

Where the numbers come from: notes are planned in groups of two to four moving one way (a teaching essay
on placing; read); broken orders are playable with practice (a forum of harpists; read); the times are
common practice, no source.`,
	Check: func(p *Part) []Finding { return p.overloads(turn, turnName) },
	Whole: func(p *Part) []Finding { return p.seamFindings(turn, turnName) },
}

func (p *Part) turnMessage(h *Hand, r run) string {
	w := r.worst()
	n := w.need
	need, have := twoTimes(n.Seconds, n.Have)
	first, last := p.figureOf(h, w)
	names := make([]string, 0, last-first+1)
	for i := first; i <= last; i++ {
		names = append(names, p.strokeName(h.Plucks[i]))
	}
	from, to := h.Plucks[n.From], h.Plucks[n.To]
	return fmt.Sprintf("%s turns back before %s: in this order the %s needs %s from %s%s to %s%s, and has %s.",
		quoted(strings.Join(names, " ")), quoted(p.strokeName(h.Plucks[p.turningPoint(h, w)])), h.Name, need,
		quoted(p.strokeName(from)), p.pitchAside(from), quoted(p.strokeName(to)), p.pitchAside(to), have)
}

// figureOf is what the message names: the strokes of the placing that turns, or
// of both placings where the turn lies between them; eight strokes at most.
func (p *Part) figureOf(h *Hand, o overload) (first, last int) {
	pls := h.Solution.Placings
	if o.unit%2 == 0 {
		return pls[o.unit/2].From, pls[o.unit/2].To
	}
	first, last = pls[(o.unit-1)/2].From, pls[(o.unit+1)/2].To
	first = max(first, min(o.need.From, last-3))
	return first, min(last, max(o.need.To, first+3))
}

// turningPoint is the first stroke after the direction has changed.
func (p *Part) turningPoint(h *Hand, o overload) int {
	if o.unit%2 != 0 {
		return h.Solution.Placings[(o.unit+1)/2].From
	}
	pl := h.Solution.Placings[o.unit/2]
	for i := pl.From + 1; i < pl.To; i++ {
		if h.direction(i-1, i) != h.direction(i, i+1) {
			return i + 1
		}
	}
	return pl.To
}

// inOneDirection says how the figures of a run would do if each went one way:
// the names of the first one sorted, and the least possible largest load. The
// strokes keep their times; only single notes on different strings are sorted.
func (p *Part) inOneDirection(h *Hand, r run) (names string, load float64, ok bool) {
	pls := h.Solution.Placings
	lo, hi := pls[r.from].From, pls[r.to].To
	for _, up := range []bool{true, false} {
		strokes := append([]hands.Stroke{}, h.Strokes[lo:hi+1]...)
		first := ""
		for _, fig := range p.Figures(h, lo, hi) {
			order, sorted := h.Sorted(fig, up)
			if !sorted {
				continue
			}
			var words []string
			for k, i := range order {
				if at := fig.From + k - lo; at >= 0 && at < len(strokes) {
					strokes[at].Strings, strokes[at].Printed = h.Strokes[i].Strings, h.Strokes[i].Printed
				}
				words = append(words, p.strokeName(h.Plucks[i]))
			}
			if first == "" && fig.To >= r.worst().need.To-1 {
				first = strings.Join(words, " ")
			}
		}
		if first == "" {
			continue
		}
		if l := hands.Ceiling(strokes, p.Settings.Hand); !ok || l < load {
			names, load, ok = first, l, true
		}
	}
	return names, load, ok && load < r.load-tolerance && load > 0
}
