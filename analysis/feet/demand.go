package feet

import (
	"cmp"
	"math/bits"
	"slices"
)

// Demand is what one stroke asks of a pedal. A stroke on a string without discs
// asks nothing and is no demand.
type Demand struct {
	T      float64 // seconds
	Letter Letter
	Pos    Pos     // Flat, Natural or Sharp
	Rings  float64 // seconds for which the string rings from T on; 0 where it is not known
}

// Clash is one letter asked to be at two positions in one instant: it cannot be
// played as it is spelled.
type Clash struct {
	T         float64 // seconds: the first of the demands
	Letter    Letter
	Positions []Pos // at least two, flats first
	Demands   []int // which demands, by their place in the list
}

// byTime gives the demands' places in order of time; those of one time keep
// their order.
func byTime(demands []Demand) []int {
	order := make([]int, len(demands))
	for i := range order {
		order[i] = i
	}
	if !inOrder(demands) {
		slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(demands[i].T, demands[j].T) })
	}
	return order
}

// Clashes finds every letter that is asked for at two positions in one instant,
// in order of time, then of the letters C to B. Demands up to 1e-9 s after the
// first of an instant belong to it.
func Clashes(demands []Demand) []Clash {
	var clashes []Clash
	order := byTime(demands)
	for start := 0; start < len(order); {
		end := start + 1
		for end < len(order) && demands[order[end]].T-demands[order[start]].T <= tolerance {
			end++
		}
		clashes = append(clashes, clashesIn(demands, order[start:end])...)
		start = end
	}
	return clashes
}

// clashesIn finds the clashes of one instant.
func clashesIn(demands []Demand, instant []int) []Clash {
	var asked [Letters]uint8 // a bit for each position
	for _, i := range instant {
		asked[demands[i].Letter] |= 1 << (demands[i].Pos + 1)
	}
	var clashes []Clash
	for l := C; l <= B; l++ {
		if bits.OnesCount8(asked[l]) < 2 {
			continue
		}
		clash := Clash{Letter: l}
		for p := Flat; p <= Sharp; p++ {
			if asked[l]&(1<<(p+1)) != 0 {
				clash.Positions = append(clash.Positions, p)
			}
		}
		for _, i := range instant {
			if demands[i].Letter == l {
				clash.Demands = append(clash.Demands, i)
			}
		}
		clash.T = demands[clash.Demands[0]].T
		clashes = append(clashes, clash)
	}
	return clashes
}
