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

// millionths rounds a cost, which is never negative: half a millionth up.
func millionths(cost float64) int64 {
	cost = min(cost*1e6, mostCost)
	whole := int64(cost)
	if cost-float64(whole) >= .5 {
		whole++
	}
	return whole
}

// run is a placing without its fingers: consecutive strokes whose strings are set
// together. Its strings stand in ascending order, and with each one its stroke,
// counted from the run's first.
type run struct {
	from     int // index of the first stroke
	n        int // how many strokes
	k        int // how many strings
	strings  [mostStrings]int
	at       [mostStrings]float64 // when each string is plucked
	time     [mostStrings]float64 // of the strokes
	stroke   [mostStrings]int8
	printed  [mostStrings]int8 // the finger that the page gives; 0 for none
	size     [mostStrings]int8 // strings of the strokes
	forced   bool
	borrowed bool // it takes notes of the other hand's staff
	order    Order
	gaps     float64 // cost of the gaps inside that are too short
	load     float64 // largest load of a gap inside
}

func (r *run) low() int       { return r.strings[0] }
func (r *run) high() int      { return r.strings[r.k-1] }
func (r *run) to() int        { return r.from + r.n - 1 }
func (r *run) first() float64 { return r.time[0] }
func (r *run) last() float64  { return r.time[r.n-1] }

// begin makes it the run of a single stroke. It is forced, a placing of its own at any
// price, when it has more than four strings, of which the top four then count, or
// when no fingering of it lies within the hand's reach.
func (r *run) begin(s Stroke, from int, h *hand) {
	*r = run{from: from}
	r.join(s.T, s.counted(), s.printed())
	r.forced = len(s.Strings) > mostStrings || !r.fits(h)
}

// lone gives the run of a single stroke.
func lone(s Stroke, from int, h *hand) (r run) {
	r.begin(s, from, h)
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

// extend makes it the run r with one more stroke. False when together they are no
// placing, and then no longer run is one either: a gap, a string twice, a fifth
// string, a stroke that must be alone. A run too wide for every fingering is still
// given: a later stroke between its strings can bring it within the hand.
func (longer *run) extend(r *run, s Stroke, h *hand) bool {
	if r.forced || r.k+len(s.Strings) > mostStrings || s.T-r.last() >= h.Afresh-sameTime {
		return false
	}
	for _, string := range s.Strings {
		if r.has(string) {
			return false
		}
	}
	if s.alone(h) {
		return false
	}
	*longer = *r
	longer.join(s.T, s.Strings, s.Printed)
	longer.order = longer.orderOfPlay()
	longer.measureGaps(r, h)
	return true
}

// extended gives the run with one more stroke, see extend.
func (r *run) extended(s Stroke, h *hand) (longer run, ok bool) {
	ok = longer.extend(r, s, h)
	return longer, ok
}

// alone says whether a stroke of up to four strings must be a placing of its own.
func (s Stroke) alone(h *hand) bool {
	if len(s.Strings) == 1 {
		return !h.Outer.Fits(0)
	}
	var r run
	r.begin(s, 0, h)
	return r.forced
}

func (r *run) has(string int) bool {
	for _, s := range r.strings[:r.k] {
		if s == string {
			return true
		}
	}
	return false
}

// join adds a stroke's strings to the run, with the fingers printed on them, if any.
func (r *run) join(t float64, strings, printed []int) {
	for n, s := range strings {
		j := r.k
		for ; j > 0 && r.strings[j-1] > s; j-- {
			r.strings[j], r.at[j], r.stroke[j], r.printed[j] = r.strings[j-1], r.at[j-1], r.stroke[j-1], r.printed[j-1]
		}
		r.strings[j], r.at[j], r.stroke[j], r.printed[j] = s, t, int8(r.n), 0
		if printed != nil {
			r.printed[j] = int8(printed[n])
		}
		r.k++
	}
	r.time[r.n], r.size[r.n] = t, int8(len(strings))
	r.n++
}

// orderOfPlay reads the order off the strings. Going straight up, each string's
// stroke is no earlier than that of the string below it. Four strings take all four
// fingers, so the finger orders 4-2-3-1 and 1-3-2-4 are orders of strings.
func (r *run) orderOfPlay() Order {
	up, down := true, true
	for j := 1; j < r.k; j++ {
		up = up && r.stroke[j] >= r.stroke[j-1]
		down = down && r.stroke[j] <= r.stroke[j-1]
	}
	switch {
	case r.n == 1:
		return Straight
	case up:
		return StraightUp
	case down:
		return StraightDown
	case r.k == 4 && r.stroke == [mostStrings]int8{0, 2, 1, 3}:
		return CrossedUp
	case r.k == 4 && r.stroke == [mostStrings]int8{3, 1, 2, 0}:
		return CrossedDown
	default:
		return Turned
	}
}

// measureGaps works out the loads inside the run, which is one stroke longer than
// another: in the same order of play only the last gap is new.
func (r *run) measureGaps(shorter *run, h *hand) {
	i := 1
	if shorter.n > 1 && shorter.order == r.order {
		i = shorter.n
	} else {
		r.gaps, r.load = 0, 0
	}
	for ; i < r.n; i++ {
		l := load(h.orders[r.order].Least, r.time[i]-r.time[i-1])
		r.load = max(r.load, l)
		r.gaps += h.excess(l)
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
	// loadOfMillionth is how much load above 1 costs a millionth, rather a hair more than
	// less; infinite where load costs nothing.
	loadOfMillionth float64
	memo            *memo     // nil where nothing is remembered from piece to piece
	ceilings        *ceilings // likewise
}

func newHand(profile harp.Hand) *hand {
	h := &hand{Hand: profile}
	h.orders = [...]harp.Order{Straight: {}, StraightUp: h.StraightUp, StraightDown: h.StraightDown,
		CrossedUp: h.CrossedUp, CrossedDown: h.CrossedDown, Turned: h.Turned}
	h.loadOfMillionth = 1e-6 / h.Overload * (1 + 1e-9)
	return h
}

// excess is the cost of a load.
func (h *hand) excess(load float64) float64 {
	if load <= 1 {
		return 0
	}
	return h.Overload * (load - 1)
}
