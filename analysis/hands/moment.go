package hands

import (
	"cmp"
	"slices"
)

// Side is one of the two hands.
type Side int

// The hands.
const (
	Right Side = iota
	Left
)

func (s Side) String() string { return [...]string{"R", "L"}[s] }

// Written is what two hands have to play, as the staves have it.
type Written struct {
	Staves [2][]Stroke // by Side; tidy
	// Named says that the staves name their hands: notes taken from the other hand's
	// staff then cost something.
	Named bool
	// Bound are notes that a mark gives to one hand, by Side; they go there in every way
	// to share, and cost nothing for it.
	Bound [2][]Stroke
	// Within are the times between which notes may be shared anew, ends included. All
	// other notes stay as written, and count as what comes before and after. Nil is
	// everywhere.
	Within []Interval
	// Two says that there are two staves: the notes may then be shared as written,
	// even where that is no cut between low and high.
	Two bool
	// Spared says that no hand is given more than is written for it where it cannot
	// take what it then has, or has no time to get there or away. The cost alone does not
	// see to that: one string more in a stroke that is out of reach costs nothing.
	Spared bool
}

// Interval is a stretch of time in seconds.
type Interval struct{ From, To float64 }

// free says whether notes at this time may be shared anew.
func (w *Written) free(t float64) bool {
	if w.Within == nil {
		return true
	}
	for _, in := range w.Within {
		if in.From-sameTime <= t && t <= in.To+sameTime {
			return true
		}
	}
	return false
}

// moment is all that is plucked at one instant by both hands.
type moment struct {
	t       float64
	strings []int    // ascending
	all     Stroke   // the strings with the fingers printed on them
	written [2][]int // by Side
	bound   [2][]int // by Side: what a mark gives to this hand
	shares  []share
}

// share is one way to deal a moment's strings to the hands.
type share struct {
	strings  [2][]int
	printed  [2][]int // the fingers printed on them, see Stroke
	borrowed [2]bool
	forced   [2]bool // no hand takes it
	odd      int     // see oddness
}

// moments brings the staves together. Strokes within 1e-9 s of the first of them are
// one moment, at its time.
func (w Written) moments(h *hand) []moment {
	type plucked struct {
		stroke Stroke
		side   Side
	}
	var all []plucked
	for side, strokes := range w.Staves {
		for _, s := range strokes {
			all = append(all, plucked{s, Side(side)})
		}
	}
	slices.SortStableFunc(all, func(a, b plucked) int { return cmp.Compare(a.stroke.T, b.stroke.T) })
	var moments []moment
	for _, p := range all {
		if last := len(moments) - 1; last < 0 || p.stroke.T-moments[last].t > sameTime {
			moments = append(moments, moment{t: p.stroke.T})
		}
		m := &moments[len(moments)-1]
		m.all = joined(m.t, m.all, p.stroke)
		m.strings = m.all.Strings
		m.written[p.side] = stringSet(m.written[p.side], p.stroke.Strings)
	}
	for side, strokes := range w.Bound {
		for _, s := range strokes {
			at, _ := slices.BinarySearchFunc(moments, s.T-sameTime, func(m moment, t float64) int { return cmp.Compare(m.t, t) })
			for ; at < len(moments) && moments[at].t <= s.T+sameTime; at++ {
				m := &moments[at]
				m.bound[side] = stringSet(m.bound[side], without(s.Strings, without(s.Strings, m.strings)))
			}
		}
	}
	for i := range moments {
		moments[i].deal(w, h)
	}
	if w.Spared {
		timely(moments, h)
	}
	return moments
}

// deal lists the ways to share the moment: as written first, then every cut, lower
// strings to the left hand, upper to the right.
func (m *moment) deal(w Written, h *hand) {
	free := w.free(m.t)
	if w.Two || !free {
		m.add(m.written, w.Named, h)
	}
	if !free {
		return
	}
	for low := range len(m.strings) + 1 {
		m.add([2][]int{Left: m.strings[:low], Right: m.strings[low:]}, w.Named, h)
	}
	if w.Spared {
		m.spare(w, h)
	}
}

// spare leaves out the ways that give a hand notes of the other one in a stroke that it
// cannot take. The written way is no such way; where all others are, it is the one.
func (m *moment) spare(w Written, h *hand) {
	m.shares = slices.DeleteFunc(m.shares, func(s share) bool {
		for side, strings := range s.strings {
			if s.forced[side] && len(without(without(strings, m.written[side]), m.bound[side])) > 0 {
				return true
			}
		}
		return false
	})
	if len(m.shares) == 0 {
		m.add(m.written, w.Named, h)
	}
}

// add lists one way to share, with bound notes where they belong, if it is not there
// already.
func (m *moment) add(cut [2][]int, named bool, h *hand) {
	for side := range cut {
		if len(m.bound[side]) > 0 {
			cut[1-side] = without(cut[1-side], m.bound[side])
			cut[side] = stringSet(cut[side], m.bound[side])
		}
	}
	for _, s := range m.shares {
		if slices.Equal(s.strings[Right], cut[Right]) && slices.Equal(s.strings[Left], cut[Left]) {
			return
		}
	}
	s := share{strings: cut}
	for side := range cut {
		s.printed[side] = m.all.some(cut[side]).Printed
		for _, string := range (Stroke{Strings: cut[side]}).counted() {
			own := slices.Contains(m.written[side], string) || slices.Contains(m.bound[side], string)
			s.borrowed[side] = s.borrowed[side] || named && !own
		}
	}
	for side := range cut {
		s.forced[side] = len(cut[side]) > 0 && lone(s.stroke(side, m.t), 0, h).forced
	}
	s.odd = oddness(cut)
	m.shares = append(m.shares, s)
}

// stroke is what one hand plucks under the share.
func (s *share) stroke(side int, t float64) Stroke {
	return Stroke{T: t, Strings: s.strings[side], Printed: s.printed[side]}
}

// middleC is where the registers of the hands meet.
const middleC = 28

// oddness counts by how many steps strings lie on the wrong side of middle C: below it
// in the right hand, which does not reach far down, above it in the left. Ways to share
// that cost the same are told apart by it; it is no part of the cost.
func oddness(cut [2][]int) int {
	odd := 0
	for _, s := range cut[Right] {
		odd += max(0, middleC-s)
	}
	for _, s := range cut[Left] {
		odd += max(0, s-middleC)
	}
	return odd
}

func without(strings, taken []int) []int {
	return slices.DeleteFunc(slices.Clone(strings), func(s int) bool { return slices.Contains(taken, s) })
}

// part is one hand's part under a choice of shares.
type part struct {
	strokes  []Stroke
	borrowed []bool
}

// parts reads the hands' parts off a choice of shares, one a moment.
func parts(moments []moment, chosen []int) (both [2]part) {
	for i, m := range moments {
		s := m.shares[chosen[i]]
		for side := range both {
			if len(s.strings[side]) > 0 {
				both[side].strokes = append(both[side].strokes, s.stroke(side, m.t))
				both[side].borrowed = append(both[side].borrowed, s.borrowed[side])
			}
		}
	}
	return both
}

// solve finds the cheapest fingering of the part by itself; with lengths, of
// placings that are given.
func (p part) solve(lengths []int, h *hand) *Solution {
	if len(p.strokes) == 0 {
		return &Solution{Hand: h.Hand, h: h}
	}
	pr := newProgramme(p.strokes, h)
	pr.borrowed, pr.lengths = p.borrowed, lengths
	if lengths != nil {
		pr.memo = nil // other placings start at a stroke than its own
	}
	return pr.solve()
}

// sharedStrings is what it costs that both hands strike one string: each pair of
// strikes by different hands, soon after each other, with no strike of it between.
// Strings that do not count in a stroke of more than four are not struck.
func sharedStrings(both [2]part, h *hand) int64 {
	type strike struct {
		t    float64
		side Side
	}
	strikes := map[int][]strike{}
	for side, p := range both {
		for _, s := range p.strokes {
			for _, string := range s.counted() {
				strikes[string] = append(strikes[string], strike{s.T, Side(side)})
			}
		}
	}
	pairs := 0
	for _, of := range strikes {
		slices.SortStableFunc(of, func(a, b strike) int {
			if a.t < b.t {
				return -1
			} else if a.t > b.t {
				return 1
			}
			return 0
		})
		for i, a := range of {
			for _, b := range of[i+1:] {
				if between := b.t > nextAfter(a.t, of[i+1:], func(s strike) float64 { return s.t }); between || b.t-a.t >= h.SharedWithin-sameTime {
					break
				}
				if a.side != b.side {
					pairs++
				}
			}
		}
	}
	return int64(pairs) * millionths(h.SharedString)
}

// nextAfter is the first time later than t.
func nextAfter[S any](t float64, later []S, time func(S) float64) float64 {
	for _, s := range later {
		if time(s) > t {
			return time(s)
		}
	}
	return t
}

// stay is where a hand is during a placing.
type stay struct {
	first, last float64
	low, high   int
}

// stays lists them for a solution.
func (s *Solution) stays() []stay {
	all := make([]stay, 0, len(s.Placings))
	for i := range s.Placings {
		p := &s.Placings[i]
		at := stay{first: s.Strokes[p.From].T, last: s.Strokes[p.To].T}
		for j, stroke := range s.Strokes[p.From : p.To+1] {
			strings := stroke.counted()
			low, high := strings[0], strings[len(strings)-1]
			if j == 0 {
				at.low, at.high = low, high
			}
			at.low, at.high = min(at.low, low), max(at.high, high)
		}
		all = append(all, at)
	}
	return all
}

// interlocks counts the pairs of a right and a left placing that overlap in time with
// all of the right hand below all of the left. Both lists are in order of time.
func interlocks(right, left []stay) int {
	n, from := 0, 0
	for _, r := range right {
		for from < len(left) && left[from].last < r.first-sameTime {
			from++
		}
		for _, l := range left[from:] {
			if l.first > r.last+sameTime {
				break
			}
			if r.high < l.low {
				n++
			}
		}
	}
	return n
}
