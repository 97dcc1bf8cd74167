package hands

import (
	"math"
	"slices"

	"fourfold/analysis/harp"
)

// The twin is the model once more, written as a reader of the model would write it
// down, with maps and loops over everything: every way to cut the strokes into
// placings, and every way to put fingers on each of them. It shares no code with the
// programme beside the table of numbers.

type twinPlacing struct {
	strokes    []Stroke // only the strings that count
	first      int      // index of the first stroke
	finger     map[int]int
	time       map[int]float64
	size       map[int]int // strings in the stroke of a string
	printed    map[int]int
	impossible bool
}

// twinAnswer is a whole sequence and what it costs.
type twinAnswer struct {
	cost     int64
	lengths  []int
	fingers  []int
	load     float64
	changes  []string
	orders   []string
	placings []twinPlacing
}

func (p twinPlacing) strings() []int {
	var all []int
	for s := range p.finger {
		all = append(all, s)
	}
	slices.Sort(all)
	return all
}

func (p twinPlacing) lowest() int  { return slices.Min(p.strings()) }
func (p twinPlacing) highest() int { return slices.Max(p.strings()) }

func (p twinPlacing) mean() float64 {
	sum := 0.0
	for s := range p.finger {
		sum += float64(s)
	}
	return sum / float64(len(p.finger))
}

func (p twinPlacing) stringOf(finger int) (int, bool) {
	for s, f := range p.finger {
		if f == finger {
			return s, true
		}
	}
	return 0, false
}

// twinTop is a stroke's strings that count.
func twinTop(s Stroke) []int {
	if len(s.Strings) > 4 {
		return s.Strings[len(s.Strings)-4:]
	}
	return s.Strings
}

// twinPlacings gives every placing of the strokes first to last, or none.
func twinPlacings(strokes []Stroke, first, last int, h harp.Hand) []twinPlacing {
	seen := map[int]bool{}
	base := twinPlacing{first: first, time: map[int]float64{}, size: map[int]int{}, printed: map[int]int{}}
	for i := first; i <= last; i++ {
		if i > first && strokes[i].T-strokes[i-1].T > h.Afresh-1e-9 {
			return nil
		}
		if first != last && twinAlone(strokes[i], h) {
			return nil
		}
		top := twinTop(strokes[i])
		for _, s := range top {
			if seen[s] {
				return nil
			}
			seen[s] = true
			base.time[s] = strokes[i].T
			base.size[s] = len(top)
			if strokes[i].Printed != nil {
				base.printed[s] = strokes[i].Printed[slices.Index(strokes[i].Strings, s)]
			}
		}
		base.strokes = append(base.strokes, Stroke{T: strokes[i].T, Strings: top})
	}
	if len(seen) > 4 {
		return nil
	}
	base.impossible = first == last && twinAlone(strokes[first], h)
	var all []twinPlacing
	for _, f := range twinFingerings(base.time) {
		p := base
		p.finger = f
		if p.impossible || twinWithin(f, h) {
			all = append(all, p)
		}
	}
	return all
}

// twinAlone says whether a stroke is a placing of its own.
func twinAlone(s Stroke, h harp.Hand) bool {
	if len(s.Strings) > 4 {
		return true
	}
	set := map[int]float64{}
	for _, string := range s.Strings {
		set[string] = 0
	}
	for _, f := range twinFingerings(set) {
		if twinWithin(f, h) {
			return false
		}
	}
	return true
}

// twinFingerings puts fingers on strings in every way: higher strings have lower
// fingers.
func twinFingerings(strings map[int]float64) []map[int]int {
	var order []int
	for s := range strings {
		order = append(order, s)
	}
	slices.Sort(order)
	var all []map[int]int
	var put func(i, below int, so map[int]int)
	put = func(i, below int, so map[int]int) {
		if i == len(order) {
			whole := map[int]int{}
			for s, f := range so {
				whole[s] = f
			}
			all = append(all, whole)
			return
		}
		for f := 1; f < below; f++ {
			so[order[i]] = f
			put(i+1, f, so)
			delete(so, order[i])
		}
	}
	put(0, 5, map[int]int{})
	return all
}

// twinPairs calls visit for each pair of neighbouring used fingers.
func twinPairs(f map[int]int, h harp.Hand, visit func(span harp.Span, steps int)) {
	on := map[int]int{}
	for s, finger := range f {
		on[finger] = s
	}
	for a := 1; a <= 4; a++ {
		for b := a + 1; b <= 4; b++ {
			between := false
			for c := a + 1; c < b; c++ {
				_, used := on[c]
				between = between || used
			}
			sa, ua := on[a]
			sb, ub := on[b]
			if ua && ub && !between {
				visit(h.Spans[a][b], sa-sb)
			}
		}
	}
}

func twinOuter(f map[int]int) int {
	low, high := math.MaxInt, math.MinInt
	for s := range f {
		low, high = min(low, s), max(high, s)
	}
	return high - low
}

func twinWithin(f map[int]int, h harp.Hand) bool {
	ok := twinOuter(f) <= h.Outer.Most
	twinPairs(f, h, func(span harp.Span, steps int) { ok = ok && steps <= span.Most })
	return ok
}

func (p twinPlacing) order() string {
	n := len(p.strokes)
	if n == 1 {
		return "straight"
	}
	up, down, single := true, true, true
	var fingers []int
	for i, s := range p.strokes {
		single = single && len(s.Strings) == 1
		fingers = append(fingers, p.finger[s.Strings[0]])
		if i == 0 {
			continue
		}
		for _, x := range p.strokes[i-1].Strings {
			for _, y := range s.Strings {
				up = up && y > x
				down = down && y < x
			}
		}
	}
	switch {
	case up:
		return "straight-up"
	case down:
		return "straight-down"
	case n == 4 && single && slices.Equal(fingers, []int{4, 2, 3, 1}):
		return "crossed-up"
	case n == 4 && single && slices.Equal(fingers, []int{1, 3, 2, 4}):
		return "crossed-down"
	}
	return "turned"
}

// twinLoad is need ÷ have; a need met within the tolerance is no overload.
func twinLoad(need, have float64) float64 {
	if need > have && need-have <= 1e-9 {
		return 1
	}
	return need / have
}

// own is the placing's cost and largest load.
func (p twinPlacing) own(h harp.Hand) (int64, float64) {
	order := map[string]harp.Order{"straight": {}, "straight-up": h.StraightUp, "straight-down": h.StraightDown,
		"crossed-up": h.CrossedUp, "crossed-down": h.CrossedDown, "turned": h.Turned}[p.order()]
	cost, worst := h.Placing+order.Cost, 0.0
	twinPairs(p.finger, h, func(span harp.Span, steps int) {
		for s := span.Comfortable; s < steps; s++ {
			cost += h.PerStep
		}
	})
	if len(p.finger) >= 3 {
		for s := h.Outer.Comfortable; s < twinOuter(p.finger); s++ {
			cost += h.PerStep
		}
	}
	cost += h.PerFinger * float64(p.finger[p.highest()]-1)
	for i := 1; i < len(p.strokes); i++ {
		l := twinLoad(order.Least, p.strokes[i].T-p.strokes[i-1].T)
		worst = max(worst, l)
		if l > 1 {
			cost += h.Overload * (l - 1)
		}
	}
	for s, f := range p.printed {
		if f != 0 && f != p.finger[s] {
			cost += h.Unprinted
		}
	}
	if p.impossible {
		cost += h.Impossible
	}
	return int64(math.Round(cost * 1e6)), worst
}

// twinChange is the change from a to b: its name, cost and largest load.
func twinChange(a, b twinPlacing, h harp.Hand) (string, int64, float64) {
	last, first := a.strokes[len(a.strokes)-1], b.strokes[0]
	have := first.T - last.T
	if have >= h.Afresh-1e-9 {
		return "afresh", 0, 0
	}
	union := map[int]int{}
	for s := range a.finger {
		union[s] = 0
	}
	for s := range b.finger {
		union[s] = 0
	}
	d := math.Min(math.Abs(a.mean()-b.mean()), float64(h.MostSteps))

	name, cost, least, added := "leap", h.Leap.Cost+h.Leap.CostPerStep*d, h.Leap.Least+h.Leap.LeastPerStep*d, 0.0
	highestFinger := 0
	for _, f := range a.finger {
		highestFinger = max(highestFinger, f)
	}
	single := len(a.strokes) >= 2 && len(last.Strings) == 1
	lastString := last.Strings[0]
	pivots := single
	for _, s := range first.Strings {
		pivots = pivots && s != lastString && b.finger[s] != a.finger[lastString]
	}
	for s := range b.finger {
		pivots = pivots && s-lastString <= h.Outer.Most && lastString-s <= h.Outer.Most
	}
	up := a.order() == "straight-up" || a.order() == "crossed-up"
	down := a.order() == "straight-down" || a.order() == "crossed-down"
	switch {
	case single && up && a.finger[lastString] == 1 &&
		b.lowest() > a.highest() && b.lowest()-a.highest() <= h.CrossReach:
		name, cost, least, added = "cross-under", h.CrossUnder.Cost, h.CrossUnder.Least, h.CycleUnder
	case single && down && a.finger[lastString] == highestFinger && (highestFinger == 3 || highestFinger == 4) &&
		b.highest() < a.lowest() && a.lowest()-b.highest() <= h.CrossReach:
		name, cost, least, added = "cross-over", h.CrossOver.Cost, h.CrossOver.Least, h.CycleOver
	case pivots:
		name, cost, least = "pivot", h.Pivot.Cost, h.Pivot.Least
	case twinOuter(union) <= h.Outer.Most:
		name, cost, least = "same place", h.SamePlace.Cost, h.SamePlace.Least
		if slices.Equal(a.strings(), b.strings()) {
			cost = h.SameStrings
		}
	}

	worst := twinLoad(least, have)
	for f := 1; f <= 4; f++ {
		to, inB := b.stringOf(f)
		if !inB {
			continue
		}
		more := added + h.CyclePerNote*float64(b.size[to]-1)
		from, inA := a.stringOf(f)
		_, known := a.finger[to]
		if inA {
			steps := math.Min(math.Abs(float64(to-from)), float64(h.MostSteps))
			worst = max(worst, twinLoad(h.Cycle+h.CyclePerStep*steps+more, b.time[to]-a.time[from]))
		} else if !known {
			worst = max(worst, twinLoad(h.NewFinger+more, b.time[to]-a.strokes[0].T))
		}
	}
	for s := range a.finger {
		if _, both := b.finger[s]; !both {
			continue
		}
		need, apart := h.SameString, b.time[s]-a.time[s]
		if slices.Contains(last.Strings, s) && slices.Contains(first.Strings, s) {
			need = h.SameNext
		}
		worst = max(worst, twinLoad(need, apart))
		if apart < h.RestrikeWithin-1e-9 {
			cost += h.Restrike
		}
	}
	if worst > 1 {
		cost += h.Overload * (worst - 1)
	}
	return name, int64(math.Round(cost * 1e6)), worst
}

// twinSolve tries everything. It gives the best sequence and the ceiling.
func twinSolve(strokes []Stroke, h harp.Hand) (twinAnswer, float64) {
	best, ceiling := twinAnswer{cost: math.MaxInt64}, math.Inf(1)
	var try func(so twinAnswer)
	try = func(so twinAnswer) {
		at := 0
		for _, n := range so.lengths {
			at += n
		}
		if at == len(strokes) {
			ceiling = min(ceiling, so.load)
			if so.better(best) {
				best = so
			}
			return
		}
		for n := 1; at+n <= len(strokes); n++ {
			for _, p := range twinPlacings(strokes, at, at+n-1, h) {
				next := so
				cost, load := p.own(h)
				change := ""
				if at > 0 {
					var more int64
					var worst float64
					change, more, worst = twinChange(so.placings[len(so.placings)-1], p, h)
					cost, load = cost+more, max(load, worst)
				}
				next.cost, next.load = so.cost+cost, max(so.load, load)
				next.lengths = append(slices.Clone(so.lengths), n)
				next.changes = append(slices.Clone(so.changes), change)
				next.orders = append(slices.Clone(so.orders), p.order())
				next.placings = append(slices.Clone(so.placings), p)
				next.fingers = slices.Clone(so.fingers)
				for i, s := range p.strokes {
					for range len(strokes[at+i].Strings) - len(s.Strings) {
						next.fingers = append(next.fingers, 0)
					}
					for _, string := range s.Strings {
						next.fingers = append(next.fingers, p.finger[string])
					}
				}
				try(next)
			}
		}
	}
	try(twinAnswer{})
	if len(strokes) == 0 {
		ceiling = 0
	}
	return best, ceiling
}

// better is the order of the model: cost, fewer placings, longer ones first, smaller
// fingers first.
func (a twinAnswer) better(b twinAnswer) bool {
	if a.cost != b.cost {
		return a.cost < b.cost
	}
	if len(a.lengths) != len(b.lengths) {
		return len(a.lengths) < len(b.lengths)
	}
	if c := slices.Compare(b.lengths, a.lengths); c != 0 {
		return c < 0
	}
	return slices.Compare(a.fingers, b.fingers) < 0
}
