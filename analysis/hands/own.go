package hands

// stretch is how far a fingering spreads the hand.
type stretch struct {
	fits   bool
	beyond int // steps beyond comfortable: neighbouring pairs, and the whole from three strings up
}

// stretch measures the run under the fingering. Neighbours are the used fingers: a
// thumb and a third finger are a pair when the second is not used in the placing.
func (r *run) stretch(f fingers, h *hand) stretch {
	outer := r.high() - r.low()
	s := stretch{fits: h.Outer.Fits(outer)}
	for j := 1; j < r.k; j++ {
		span, steps := &h.Spans[f.on(j)][f.on(j-1)], r.strings[j]-r.strings[j-1]
		s.fits = s.fits && span.Fits(steps)
		s.beyond += span.Beyond(steps)
	}
	if r.k >= 3 {
		s.beyond += h.Outer.Beyond(outer)
	}
	return s
}

// own is the cost of the placing itself under the fingering, in millionths.
func (r *run) own(f fingers, beyond int, h *hand) int64 {
	cost := h.Placing + h.orders[r.order].Cost + h.PerStep*float64(beyond) +
		h.PerFinger*float64(f.thumbmost()-1) + r.gaps
	if r.printed != ([mostStrings]int8{}) {
		for j := range r.k {
			if r.printed[j] > 0 && f.on(j) != int(r.printed[j]) {
				cost += h.Unprinted
			}
		}
	}
	if r.forced {
		cost += h.Impossible
	}
	if r.borrowed {
		cost += h.OtherStaff
	}
	return millionths(cost)
}

// state is a placing with its fingers: what the programme chooses between.
type state struct {
	fingers
	first, last fingers               // those of the placing's first stroke, and of its last
	which       uint8                 // which of the fingerings of so many strings
	at          [mostStrings + 1]int8 // which string each finger is on
	run         int                   // which of the runs that start at the same stroke
	own         int64                 // cost, in millionths
}

// appendStates adds the run's states, in the order of fingerings: those within the
// hand's reach, or all when the run is forced.
func (r *run) appendStates(states []state, run int, h *hand) []state {
	for which, f := range fingerings[r.k] {
		s := r.stretch(f, h)
		if !s.fits && !r.forced {
			continue
		}
		st := state{fingers: f, run: run, which: uint8(which), own: r.own(f, s.beyond, h)}
		for j := range r.k {
			finger := fingerOn[f][j]
			st.at[finger] = int8(j)
			if r.stroke[j] == 0 {
				st.first |= 1 << (finger - 1)
			}
			if int(r.stroke[j]) == r.n-1 {
				st.last |= 1 << (finger - 1)
			}
		}
		states = append(states, st)
	}
	return states
}
