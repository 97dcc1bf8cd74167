package hands

import (
	"math"
	"math/bits"

	"fourfold/analysis/harp"
)

// mostCost bounds every sum of costs, in millionths, so that absurd tempi cannot
// wrap it.
const mostCost = math.MaxInt64 / 4

// plus adds two costs and stays within mostCost.
func plus(a, b int64) int64 { return min(a+b, mostCost) }

// millionths rounds a cost.
func millionths(cost float64) int64 { return int64(math.Round(min(cost*1e6, mostCost))) }

// run is a placing without its fingers: consecutive strokes whose strings are set
// together. Its strings stand in ascending order, and with each one its stroke.
type run struct {
	from, to int
	k        int // how many strings
	forced   bool
	strings  [mostStrings]int
	stroke   [mostStrings]int     // index of the stroke that plucks the string
	time     [mostStrings]float64 // of that stroke
	extra    [mostStrings]int     // strings beyond one in that stroke
	first    float64              // time of the first stroke
	last     float64              // time of the last
	order    Order
	overload float64 // cost of the gaps inside that are too short
	load     float64 // largest load of a gap inside
}

func (r *run) low() int  { return r.strings[0] }
func (r *run) high() int { return r.strings[r.k-1] }

// lone gives the run of a single stroke. It is forced, a placing of its own at any
// price, when it has more than four strings, of which the top four then count, or
// when no fingering of it lies within the hand's reach.
func lone(strokes []Stroke, i int, h *hand) run {
	r := run{from: i, to: i, first: strokes[i].T, last: strokes[i].T}
	r.join(strokes, i)
	r.forced = len(strokes[i].Strings) > mostStrings || !r.fits(h)
	return r
}

// fits says whether any fingering lies within what the hand takes at most.
func (r *run) fits(h *hand) bool {
	for _, f := range fingerings[r.k] {
		if r.stretch(f, h).fits {
			return true
		}
	}
	return false
}

// extended gives the run with one more stroke. False when together they are no
// placing, and then no longer run is one either: a gap, a string twice, a fifth
// string, a stroke that must be alone. A run too wide for every fingering is still
// given: a later stroke between its strings can bring it within the hand.
func (r *run) extended(strokes []Stroke, h *hand) (run, bool) {
	i := r.to + 1
	if i == len(strokes) || r.forced || r.k+len(strokes[i].Strings) > mostStrings ||
		strokes[i].T-r.last >= h.Afresh-sameTime {
		return run{}, false
	}
	if next := lone(strokes, i, h); next.forced {
		return run{}, false
	}
	for _, s := range strokes[i].Strings {
		for j := range r.k {
			if r.strings[j] == s {
				return run{}, false
			}
		}
	}
	longer := *r
	longer.to, longer.last = i, strokes[i].T
	longer.join(strokes, i)
	longer.order = longer.orderOfPlay(strokes)
	longer.gaps(strokes, h)
	return longer, true
}

// join merges the strings of stroke i into the run.
func (r *run) join(strokes []Stroke, i int) {
	extra := len(strokes[i].counted()) - 1
	for _, s := range strokes[i].counted() {
		j := r.k
		for ; j > 0 && r.strings[j-1] > s; j-- {
			r.strings[j], r.stroke[j], r.time[j], r.extra[j] = r.strings[j-1], r.stroke[j-1], r.time[j-1], r.extra[j-1]
		}
		r.strings[j], r.stroke[j], r.time[j], r.extra[j] = s, i, strokes[i].T, extra
		r.k++
	}
}

// orderOfPlay reads the order off the strings; only straight runs and runs of four
// single strings depend on more than that nothing else fits. Four strings take all
// four fingers, so the finger orders 4-2-3-1 and 1-3-2-4 are orders of strings.
func (r *run) orderOfPlay(strokes []Stroke) Order {
	if r.from == r.to {
		return Straight
	}
	up, down := true, true
	for i := r.from + 1; i <= r.to; i++ {
		a, b := strokes[i-1].Strings, strokes[i].Strings
		up = up && b[0] > a[len(a)-1]
		down = down && b[len(b)-1] < a[0]
	}
	switch order := [mostStrings]int{r.stroke[0] - r.from, r.stroke[1] - r.from, r.stroke[2] - r.from, r.stroke[3] - r.from}; {
	case up:
		return StraightUp
	case down:
		return StraightDown
	case r.k == 4 && order == [mostStrings]int{0, 2, 1, 3}:
		return CrossedUp
	case r.k == 4 && order == [mostStrings]int{3, 1, 2, 0}:
		return CrossedDown
	default:
		return Turned
	}
}

// gaps works out the loads inside the run.
func (r *run) gaps(strokes []Stroke, h *hand) {
	r.overload, r.load = 0, 0
	for i := r.from; i < r.to; i++ {
		l := load(h.orders[r.order].Least, strokes[i+1].T-strokes[i].T)
		r.load = max(r.load, l)
		r.overload += h.excess(l)
	}
}

// fingers is a set of fingers: bit f-1 for finger f. The highest string has the
// lowest finger, so the set says which finger is on which string.
type fingers uint8

func (f fingers) thumbmost() int { return bits.TrailingZeros8(uint8(f)) + 1 }
func (f fingers) ringmost() int  { return bits.Len8(uint8(f)) }
func (f fingers) has(n int) bool { return f>>(n-1)&1 != 0 }

// on gives the finger of the j-th string from the lowest.
func (f fingers) on(j int) int { return int(fingerOn[f][j]) }

// fingerings lists, for k strings, all choices of fingers in the order of the
// fingers' lists from the lowest string up, smaller first.
var fingerings = func() (all [mostStrings + 1][]fingers) {
	for f := fingers(0); f < 1<<mostStrings; f++ {
		k := bits.OnesCount8(uint8(f))
		all[k] = append(all[k], f)
	}
	return all
}()

var fingerOn = func() (table [1 << mostStrings][mostStrings]uint8) {
	for f := range table {
		j := 0
		for finger := mostStrings; finger >= 1; finger-- {
			if fingers(f).has(finger) {
				table[f][j] = uint8(finger)
				j++
			}
		}
	}
	return table
}()

// hand is a profile with what the programme looks up.
type hand struct {
	harp.Hand
	orders [Turned + 1]harp.Order
}

func newHand(profile harp.Hand) *hand {
	h := &hand{Hand: profile}
	h.orders = [...]harp.Order{Straight: {}, StraightUp: h.StraightUp, StraightDown: h.StraightDown,
		CrossedUp: h.CrossedUp, CrossedDown: h.CrossedDown, Turned: h.Turned}
	return h
}

// excess is the cost of a load.
func (h *hand) excess(load float64) float64 {
	if load <= 1 {
		return 0
	}
	return h.Overload * (load - 1)
}
