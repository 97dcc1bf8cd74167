package feet

import (
	"math"
	"slices"
	"sort"
)

// ticks is how many parts of a second times are counted in where plans are taken on:
// sums of such times are exact up to some hours.
const (
	ticks    = 1 << 36
	mostTime = 1 << 16
)

// toTick rounds a time in seconds to a tick.
func toTick(t float64) float64 { return math.Round(t*ticks) / ticks }

// onTick says whether sums with the time are exact.
func onTick(t float64) bool { return math.Abs(t) < mostTime && t*ticks == math.Trunc(t*ticks) }

func (b Busy) toTick() Busy { return Busy{toTick(b.One), toTick(b.Two)} }

// Replan is PlanOf for demands that are mostly those of an earlier plan, as after an
// edit: the same plan to the last bit, worked out only where moves were, or are now,
// tried at times at which a changed one is. The earlier plan stays as it is, and nil
// will do. What follows the edit may be moved in time by one amount; it is taken on if
// its times are multiples of 2⁻³⁶ s.
func (p *Plan) Replan(demands []Demand, o PlanOptions) *Plan {
	o = o.complete()
	if p != nil && p.options == o && slices.Equal(p.demands, demands) {
		return p
	}
	if p == nil || !p.options.begins(o) || !inOrder(demands) || !inOrder(p.demands) {
		return plan(nil, demands, o)
	}
	return plan(p, demands, o)
}

// begins says whether two plans begin alike and have the same feet.
func (o PlanOptions) begins(other PlanOptions) bool {
	return o.Initial == other.Initial && (o.Initial == AllFree() || o.Start == other.Start) && o.Steady == other.Steady && o.Hurried == other.Hurried
}

// inOrder says whether demands are in order of time.
func inOrder(demands []Demand) bool {
	return sort.SliceIsSorted(demands, func(i, j int) bool { return demands[i].T < demands[j].T })
}

// edit is what lies between two lists of demands: what follows it is moved by so many
// seconds, and so many places in the list.
type edit struct {
	by     float64
	places int
}

func editBetween(was, is []Demand) edit {
	if len(was) == 0 || len(is) == 0 {
		return edit{}
	}
	return edit{is[len(is)-1].T - was[len(was)-1].T, len(is) - len(was)}
}

// moves says whether the edit moves one window to where the other is.
func (e edit) moves(was, is Window) bool {
	if e.by != 0 && !(onTick(e.by) && onTick(was.Release) && onTick(was.Deadline) && onTick(was.Quiet)) {
		return false
	}
	was.shift(e.by, e.places)
	return was == is
}

// side is one foot's moves with how they are arranged.
type side struct {
	windows []Window // in the order of their deadlines
	placed  *arrangement
}

// follow arranges windows by taking on what an earlier side has.
func (s side) follow(windows []Window, e edit) *arrangement {
	head := 0
	for head < min(len(s.windows), len(windows)) && s.windows[head] == windows[head] {
		head++
	}
	match := make([]int, len(s.windows)) // where each is now; -1 for nowhere
	for i := range match {
		match[i] = -1
		if i < head {
			match[i] = i
		}
	}
	for i, j := len(s.windows)-1, len(windows)-1; i >= head && j >= head; {
		was, is := s.windows[i].Demand+e.places, windows[j].Demand
		if was == is && e.moves(s.windows[i], windows[j]) {
			match[i] = j
		}
		if was >= is {
			i--
		}
		if was <= is {
			j--
		}
	}
	a := &arrangement{busy: s.placed.busy}
	known := make([]bool, len(windows))
	a.insert(s.keep(match, head, e, known))
	var rest []Window
	for j, w := range windows {
		if !known[j] {
			rest = append(rest, w)
		}
	}
	a.fit(rest)
	return a
}

// keep gives the groups whose moves all lie before the edit, and those whose moves all
// follow it, where they are now. If the edit moves what follows, none is kept that the
// other side may have met.
func (s side) keep(match []int, head int, e edit, known []bool) (kept []*group) {
	var before, after []*group
	opens, closes := math.Inf(1), math.Inf(-1) // when those after it begin, those before it end
	at := s.places()
	place := func(slot Slot) int32 { return at[slot.Window.Demand] }
	for _, g := range s.placed.groups {
		early, late := 0, 0
		for _, slot := range g.slots {
			switch i := place(slot); {
			case match[i] < 0:
			case int(i) < head:
				early++
			default:
				late++
			}
		}
		switch len(g.slots) {
		case early:
			before, closes = append(before, g), max(closes, g.to)
		case late:
			if e != (edit{}) {
				after = append(after, g.shifted(e.by, e.places))
			} else {
				after = append(after, g)
			}
			opens = min(opens, after[len(after)-1].from)
		}
	}
	if e.by != 0 {
		before = slices.DeleteFunc(before, func(g *group) bool { return g.to >= opens })
		after = slices.DeleteFunc(after, func(g *group) bool { return g.from <= closes })
	}
	kept = append(before, after...)
	for _, g := range before {
		for _, slot := range g.slots {
			known[match[place(slot)]] = true
		}
	}
	for _, g := range after {
		for _, slot := range g.slots {
			slot.Window.Demand -= e.places
			known[match[place(slot)]] = true
		}
	}
	return kept
}

// places gives for each demand which window it is the end of, if it is.
func (s side) places() []int32 {
	if len(s.windows) == 0 {
		return nil
	}
	at := make([]int32, s.windows[len(s.windows)-1].Demand+1)
	for i, w := range s.windows {
		at[w.Demand] = int32(i)
	}
	return at
}
