package feet

import (
	"cmp"
	"math"
	"slices"
)

// PlanOptions says where a plan starts from and how quick the feet are.
type PlanOptions struct {
	Start   float64 // seconds: from when on pedals may move
	Initial Setting // Free for pedals that are set before the piece as it wants them
	Unasked Setting // where free pedals that nothing asks for are set: the key's, say
	Steady  Busy    // the package's Steady where it is zero
	Hurried Busy    // the package's Hurried where it is zero
	// Uncrossed keeps each foot to its own pedals. Else a foot takes a move of the
	// neighbour over the middle, left E or right B, where that saves late moves
	// (Inglefield and Neill, Writing for the Pedal Harp, 1985; from memory).
	Uncrossed bool
}

// Plan is what the feet do in a piece.
type Plan struct {
	Initial Setting // set before the piece, all seven
	Final   Setting // where the pedals stand after it
	Moves   []Move  // in order of At
	Feet    [2]FootPlan
	Clashes []Clash

	options PlanOptions
	demands []Demand
	steady  [2]side // before any foot crosses
	hurried [2]side // the same in a hurry; without an arrangement where nothing is late
}

// FootPlan sums up what one foot does.
type FootPlan struct {
	Moves   int
	Late    float64 // seconds: the greatest lateness, see Late
	Hurried float64 // the same in a hurry
	Stretch float64 // the tempo at which it holds is the tempo divided by it, see Stretch
}

// Move is one move of one pedal. Times are seconds.
type Move struct {
	Letter   Letter
	From, To Pos
	Foot     Foot
	Crossed  bool    // the foot reaches over the middle for it, which saves a late move
	Release  float64 // the last stroke that needs From, or the start
	Deadline float64 // the first stroke that needs To
	At, End  float64
	Late     float64 // by how much End misses Deadline; 0 where it does not
	Hurried  bool    // late only without haste: in a hurry it is in time
	Stretch  float64 // of the knot of moves that it is late in; 1 where it is in time
	Rings    bool    // a string of the letter still rings: the slide will be heard
	Demand   int     // which demand needs To, by its place in the list
	// SameFoot is which other moves (by their place in Moves) the foot owes to the
	// same stroke, where that makes one of them late.
	SameFoot []int
}

// PlanOf plans the feet for the demands. Where one letter is asked for at two
// positions in one instant that is a clash, and the pedal stays where it is, or
// goes where the first of the demands wants it: the feet are not blamed for what
// the spelling makes impossible. The demands must not change afterwards.
func PlanOf(demands []Demand, o PlanOptions) *Plan { return plan(nil, demands, o.complete()) }

// complete fills in how quick the feet are.
func (o PlanOptions) complete() PlanOptions {
	if o.Steady == (Busy{}) {
		o.Steady = Steady
	}
	if o.Hurried == (Busy{}) {
		o.Hurried = Hurried
	}
	o.Steady, o.Hurried = o.Steady.toTick(), o.Hurried.toTick()
	return o
}

// plan plans the feet, and takes on what it can from an earlier plan, or from none.
func plan(was *Plan, demands []Demand, o PlanOptions) *Plan {
	p := &Plan{Clashes: Clashes(demands), options: o, demands: demands}
	windows := settled(demands, p.Clashes, o)
	p.Moves = make([]Move, 0, len(windows))
	p.settle(demands, windows, o)
	var feet [2]*arrangement
	for f := range feet {
		own := OfFoot(windows, Foot(f))
		p.steady[f] = side{windows: own}
		if was != nil {
			p.takeOn(was, Foot(f))
		} else {
			p.steady[f].placed = arrangementOf(own, o.Steady)
		}
		feet[f] = p.steady[f].placed.clone()
	}
	var taken []crossing
	if !o.Uncrossed {
		taken = cross(feet)
	}
	for f := range feet {
		p.take(Foot(f), feet[f], taken)
	}
	p.inOrder()
	p.findSameFoot()
	return p
}

// inOrder puts the moves into the order of their starts; of two at once the left
// foot's is first.
func (p *Plan) inOrder() {
	type start struct {
		at    float64
		place int32
	}
	starts := make([]start, len(p.Moves))
	for i, m := range p.Moves {
		starts[i] = start{m.At, int32(i)}
	}
	slices.SortFunc(starts, func(a, b start) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.place, b.place)) })
	moves := make([]Move, len(starts))
	for i, s := range starts {
		moves[i] = p.Moves[s.place]
	}
	p.Moves = moves
}

// takeOn arranges a foot's moves as the earlier plan has them.
func (p *Plan) takeOn(was *Plan, f Foot) {
	own, e := p.steady[f].windows, editBetween(was.demands, p.demands)
	p.steady[f].placed = was.steady[f].follow(own, e)
	if was.hurried[f].placed != nil {
		p.hurried[f] = side{own, was.hurried[f].follow(own, e)}
	}
}

// settled gives the windows of the demands without those that lose in a clash.
func settled(demands []Demand, clashes []Clash, o PlanOptions) []Window {
	if len(clashes) == 0 {
		return Windows(demands, o.Initial, o.Start)
	}
	clash := make(map[int]int)
	for c := range clashes {
		for _, i := range clashes[c].Demands {
			clash[i] = c
		}
	}
	at := o.Initial
	keeps := make(map[int]Pos)
	var kept []Demand
	var from []int
	for _, i := range byTime(demands) {
		d := demands[i]
		if c, is := clash[i]; is {
			if _, known := keeps[c]; !known {
				keeps[c] = d.Pos
				if slices.Contains(clashes[c].Positions, at[d.Letter]) {
					keeps[c] = at[d.Letter]
				}
			}
			if d.Pos != keeps[c] {
				continue
			}
		}
		at[d.Letter] = d.Pos
		kept, from = append(kept, d), append(from, i)
	}
	windows := Windows(kept, o.Initial, o.Start)
	for i := range windows {
		windows[i].Demand = from[windows[i].Demand]
	}
	return windows
}

// settle finds the settings before and after the piece.
func (p *Plan) settle(demands []Demand, windows []Window, o PlanOptions) {
	p.Initial = o.Initial
	for _, i := range byTime(demands) {
		if d := demands[i]; p.Initial[d.Letter] == Free {
			p.Initial[d.Letter] = d.Pos
		}
	}
	for l := range p.Initial {
		if p.Initial[l] == Free {
			p.Initial[l] = o.Unasked[l]
		}
		if p.Initial[l] == Free {
			p.Initial[l] = Natural
		}
	}
	p.Final = p.Initial
	for _, w := range windows {
		p.Final[w.Letter] = w.To
	}
}

// take writes one foot's part into the plan.
func (p *Plan) take(f Foot, feet *arrangement, taken []crossing) {
	foot := FootPlan{Late: feet.latest(), Stretch: feet.stretch()}
	hurried := map[int]bool{} // what is late even in a hurry, by demand
	if feet.late > 0 {
		foot.Hurried = p.hurry(f, taken, hurried)
	}
	for _, g := range feet.groups {
		for _, s := range g.slots {
			m := moveOf(s, f)
			if s.Late > 0 {
				m.Stretch = g.stretch
				m.Hurried = !hurried[s.Window.Demand]
			}
			p.Moves = append(p.Moves, m)
			foot.Moves++
		}
	}
	p.Feet[f] = foot
}

// hurry arranges a foot's moves in a hurry. It marks those that are late even so and
// says by how many seconds the latest is.
func (p *Plan) hurry(f Foot, taken []crossing, late map[int]bool) float64 {
	a := p.hurried[f].placed
	if a == nil {
		a = arrangementOf(p.steady[f].windows, p.options.Hurried)
		p.hurried[f] = side{p.steady[f].windows, a}
	}
	if len(taken) > 0 {
		a = a.clone()
	}
	for _, c := range taken {
		if c.from == f {
			a.drop(c.window.Demand)
		} else {
			a.fit([]Window{c.window})
		}
	}
	for _, g := range a.groups {
		for _, s := range g.slots {
			if s.Late > 0 {
				late[s.Window.Demand] = true
			}
		}
	}
	return a.latest()
}

func moveOf(s Slot, f Foot) Move {
	w := s.Window
	return Move{
		Letter: w.Letter, From: w.From, To: w.To, Foot: f, Crossed: w.Letter.Foot() != f,
		Release: w.Release, Deadline: w.Deadline, At: s.At, End: s.End, Late: s.Late,
		Stretch: 1, Rings: s.Rings, Demand: w.Demand,
	}
}

// findSameFoot joins late moves with those that their foot owes to the same
// stroke.
func (p *Plan) findSameFoot() {
	if p.Feet[Left].Late == 0 && p.Feet[Right].Late == 0 {
		return
	}
	order := make([]int, len(p.Moves))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(p.Moves[i].Deadline, p.Moves[j].Deadline) })
	for start := 0; start < len(order); {
		end := start + 1
		for end < len(order) && p.Moves[order[end]].Deadline-p.Moves[order[start]].Deadline <= tolerance {
			end++
		}
		for _, f := range []Foot{Left, Right} {
			p.joinSameFoot(order[start:end], f)
		}
		start = end
	}
}

func (p *Plan) joinSameFoot(stroke []int, f Foot) {
	var own []int
	late := false
	for _, i := range stroke {
		if p.Moves[i].Foot == f {
			own = append(own, i)
			late = late || p.Moves[i].Late > 0
		}
	}
	if !late {
		return
	}
	slices.Sort(own)
	for _, i := range own {
		for _, j := range own {
			if i != j {
				p.Moves[i].SameFoot = append(p.Moves[i].SameFoot, j)
			}
		}
	}
}

// SettingAt gives where the strokes at a time need the pedals: all moves whose
// deadline has come are made.
func (p *Plan) SettingAt(t float64) Setting {
	s := p.Initial
	var since [Letters]float64
	for l := range since {
		since[l] = math.Inf(-1)
	}
	for _, m := range p.Moves {
		if m.Deadline <= t+tolerance && m.Deadline >= since[m.Letter] {
			s[m.Letter], since[m.Letter] = m.To, m.Deadline
		}
	}
	return s
}
