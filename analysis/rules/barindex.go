package rules

// barIndex finds places of a row by the numbers of their bars without walking through
// the row. Grace notes may stand a little before the bar that they belong to.
type barIndex struct {
	upTo []int // the last place in a bar up to each number, -1 for none
	from []int // the first place in a bar from each number on, -1 for none
}

// indexBars reads the bars of a row of n places.
func indexBars(n int, bar func(i int) int) (x barIndex) {
	most := 0
	for i := range n {
		most = max(most, bar(i))
	}
	x.upTo, x.from = make([]int, most+1), make([]int, most+1)
	for b := range x.upTo {
		x.upTo[b], x.from[b] = -1, -1
	}
	for i := range n {
		x.upTo[bar(i)] = i
	}
	for i := n - 1; i >= 0; i-- {
		x.from[bar(i)] = i
	}
	for b := 1; b <= most; b++ {
		x.upTo[b] = max(x.upTo[b], x.upTo[b-1])
	}
	for b := most - 1; b >= 0; b-- {
		if later := x.from[b+1]; x.from[b] < 0 || later >= 0 && later < x.from[b] {
			x.from[b] = later
		}
	}
	return x
}

// lastUpTo is the last place in a bar up to a number, -1 for none.
func (x barIndex) lastUpTo(bar int) int { return x.upTo[max(0, min(bar, len(x.upTo)-1))] }

// firstFrom is the first place in a bar from a number on, -1 for none.
func (x barIndex) firstFrom(bar int) int {
	if bar >= len(x.from) {
		return -1
	}
	return x.from[max(0, bar)]
}
