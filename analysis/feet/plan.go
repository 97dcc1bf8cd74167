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
// the spelling makes impossible.
func PlanOf(demands []Demand, o PlanOptions) *Plan {
	if o.Steady == (Busy{}) {
		o.Steady = Steady
	}
	if o.Hurried == (Busy{}) {
		o.Hurried = Hurried
	}
	p := &Plan{Clashes: Clashes(demands)}
	windows := settled(demands, p.Clashes, o)
	p.Moves = make([]Move, 0, len(windows))
	p.settle(demands, windows, o)
	sides := [2][]Window{OfFoot(windows, Left), OfFoot(windows, Right)}
	var knots [2][][]Slot
	for f := range knots {
		knots[f] = arrange(sides[f], o.Steady)
	}
	if !o.Uncrossed {
		sides, knots = cross(sides, knots, o.Steady)
	}
	for f := range knots {
		p.take(Foot(f), sides[f], knots[f], o)
	}
	slices.SortStableFunc(p.Moves, func(a, b Move) int { return cmp.Compare(a.At, b.At) })
	p.findSameFoot()
	return p
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
func (p *Plan) take(f Foot, windows []Window, knots [][]Slot, o PlanOptions) {
	foot := FootPlan{Moves: len(windows), Stretch: 1}
	hurried := map[int]float64{} // what is late even in a hurry, by demand
	if slices.ContainsFunc(knots, isLate) {
		foot.Hurried = Late(windows, o.Hurried)
	}
	if foot.Hurried > 0 {
		for _, s := range Schedule(windows, o.Hurried) {
			hurried[s.Window.Demand] = s.Late
		}
	}
	for _, knot := range knots {
		stretch := 1.0
		if isLate(knot) {
			stretch = stretchOf(windowsOf(knot), o.Steady, 1)
		}
		foot.Stretch = max(foot.Stretch, stretch)
		for _, s := range knot {
			m := moveOf(s, f)
			if s.Late > 0 {
				m.Stretch = stretch
				m.Hurried = hurried[s.Window.Demand] == 0
			}
			foot.Late = max(foot.Late, s.Late)
			p.Moves = append(p.Moves, m)
		}
	}
	if foot.Late > 0 {
		foot.Stretch = stretchAll(windows, o.Steady, foot.Stretch)
	}
	p.Feet[f] = foot
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
