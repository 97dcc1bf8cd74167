package feet

import "math"

// mostStates bounds the table of a knot: how far each pedal has come, times how
// many moves may still ring. Twelve moves need at most 3,328. A knot beyond it
// is placed without regard to ringing strings.
const mostStates = 200000

// knot is a handful of moves of one foot that get in each other's way, none of
// which need be late. The moves of each pedal follow each other, so that a state
// of the work is how many each pedal has made.
type knot struct {
	busy   Busy
	chains [][]Window // one a pedal, in order
	places []int      // the weight of each chain in a state's number
	states int
	moves  int
	// latest[state][k] is until when the foot may be kept from going on in a
	// state, if k of the moves to come may ring; minus infinity if it cannot.
	latest [][]float64
}

func newKnot(windows []Window, busy Busy) *knot {
	k := &knot{busy: busy, states: 1, moves: len(windows)}
	own := make([]Window, 0, len(windows)) // the chains, one behind the other
	for _, l := range PedalOrder {
		first := len(own)
		for _, w := range windows {
			if w.Letter == l {
				own = append(own, w)
			}
		}
		if chain := own[first:]; len(chain) > 0 {
			k.chains = append(k.chains, chain)
			k.places = append(k.places, k.states)
			k.states *= len(chain) + 1
		}
		if k.states*(k.moves+1) > mostStates {
			return nil
		}
	}
	k.latest = make([][]float64, k.states)
	cells := make([]float64, k.states*(k.moves+1))
	for s := range k.latest {
		k.latest[s], cells = cells[:k.moves+1], cells[k.moves+1:]
	}
	return k
}

// next gives the move that a pedal makes next in a state.
func (k *knot) next(state, chain int) (Window, bool) {
	done := state / k.places[chain] % (len(k.chains[chain]) + 1)
	if done == len(k.chains[chain]) {
		return Window{}, false
	}
	return k.chains[chain][done], true
}

// fill computes the table for so many moves that may ring, after it was computed for one
// less, when every move must end at least so long before its deadline.
func (k *knot) fill(rings int, spare float64) {
	for state := k.states - 1; state >= 0; state-- {
		k.latest[state][rings] = k.latestStart(state, rings, spare)
	}
}

func (k *knot) latestStart(state, rings int, spare float64) float64 {
	if state == k.states-1 {
		return math.Inf(1)
	}
	latest := math.Inf(-1)
	for c := range k.chains {
		w, ok := k.next(state, c)
		if !ok {
			continue
		}
		after := k.latest[state+k.places[c]]
		start := min(w.Deadline-spare, after[rings]) - k.busy.Of(w)
		if start < w.Quiet-tolerance && rings > 0 {
			start = min(w.Deadline-spare, after[rings-1]) - k.busy.Of(w)
			if start < w.Release-tolerance {
				continue
			}
		} else if start < w.Quiet-tolerance {
			continue
		}
		latest = max(latest, start)
	}
	return latest
}

// place finds the order and the times; nil where the knot is too large.
func (k *knot) place() []Slot {
	if k == nil {
		return nil
	}
	rings := 0
	for k.fill(rings, 0); math.IsInf(k.latest[0][rings], -1); k.fill(rings, 0) {
		if rings++; rings > k.moves {
			return nil
		}
	}
	slots := k.earliest(rings, 0)
	k.spare(slots, func(spare float64) []Slot {
		for r := range rings + 1 {
			k.fill(r, spare)
		}
		if math.IsInf(k.latest[0][rings], -1) {
			return nil
		}
		better := k.earliest(rings, spare)
		if better != nil {
			slots = better
		}
		return better
	})
	return slots
}

// spare looks for the schedule whose tightest move has most time to spare. Each
// schedule found asks for a little more; after a few, the distance between what
// a schedule is known to have and what none can have is halved.
func (k *knot) spare(slots []Slot, try func(float64) []Slot) {
	has := tightest(slots)
	most := math.Inf(1)
	for _, chain := range k.chains {
		for _, w := range chain {
			most = min(most, w.Deadline-w.Release-k.busy.Of(w))
		}
	}
	improved := false
	for tries := 0; most-has > 2*tolerance; tries++ {
		wish := has + 2*tolerance
		if tries >= 4 {
			wish = (has + most) / 2
		}
		if better := try(wish); better != nil {
			has, improved = max(tightest(better), wish), true
		} else {
			most = wish
		}
	}
	if improved {
		try(has) // of the schedules as good as the last, the one that ends first
	}
}

// tightest gives the least time between a move's end and its deadline.
func tightest(slots []Slot) float64 {
	least := math.Inf(1)
	for _, s := range slots {
		least = min(least, s.Window.Deadline-s.End)
	}
	return least
}

// earliest goes through the table from the start, always with the move that
// ends first among those after which the rest can still be done.
func (k *knot) earliest(rings int, spare float64) []Slot {
	slots := make([]Slot, 0, k.moves)
	free := math.Inf(-1)
	for state := 0; state != k.states-1; {
		best, chain := Slot{End: math.Inf(1)}, -1
		for c := range k.chains {
			if w, ok := k.next(state, c); ok {
				if s, ok := k.soonest(w, free, k.latest[state+k.places[c]], rings, spare); ok && s.End < best.End-tolerance {
					best, chain = s, c
				}
			}
		}
		if chain < 0 {
			return nil
		}
		if best.Rings {
			rings--
		}
		state += k.places[chain]
		free = best.End
		slots = append(slots, best)
	}
	return slots
}

// soonest starts a move as soon as it can be: while its string rings if one
// more move may, else when it is quiet. It fails if then the rest could not be
// done.
func (k *knot) soonest(w Window, free float64, after []float64, rings int, spare float64) (Slot, bool) {
	for _, from := range []float64{w.Release, w.Quiet} {
		at := max(free, from)
		s := slot(w, at, at+k.busy.Of(w))
		left := rings
		if s.Rings {
			left--
		}
		if left >= 0 && s.End <= min(w.Deadline-spare, after[left])+2*tolerance {
			return s, true
		}
	}
	return Slot{}, false
}
