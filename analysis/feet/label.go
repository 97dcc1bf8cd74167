package feet

import "math"

// Costs of a spelling, in millionths of one pedal move.
const (
	costMove      = 1_000_000
	costTwo       = 1_500_000            // a move over two notches
	costRespelled = 50_000               // a note that is not as written
	costLate      = LateCost * 1_000_000 // a second of lateness
)

func costOfMove(from, to Pos) int64 {
	switch d := from - to; {
	case from == Free || to == Free || d == 0:
		return 0
	case d == 2 || d == -2:
		return costTwo
	}
	return costMove
}

func costOfLateness(late float64) int64 {
	if late <= tolerance {
		return 0
	}
	return int64(math.Round(late * costLate))
}

// label is one way to have come through the music so far.
//
// ready is for each pedal the later of its letter's last use and when its foot
// is free: no more need be known, since a move can start then and no sooner.
type label struct {
	cost   int64
	pos    Setting
	ready  [Letters]float64
	parent int32
	choice int32
}

// pedals of the feet, for going over them quickly.
var pedals = [2][]Letter{{D, C, B}, {E, F, G, A}}

// step goes on by one moment at time t in one way of spelling it. A foot takes
// the moves of one moment in the order in which they can start, the shorter
// before the longer, then from left to right.
func (a *label) step(c *choice, t float64, busy Busy) label {
	next := *a
	next.cost += int64(c.respelled) * costRespelled
	for _, foot := range pedals {
		var moving [4]Letter
		n := 0
		for _, l := range foot {
			if c.need[l] == Free {
				continue
			}
			if a.pos[l] != Free && a.pos[l] != c.need[l] {
				k := n
				for ; k > 0 && a.sooner(l, moving[k-1], c); k-- {
					moving[k] = moving[k-1]
				}
				moving[k] = l
				n++
			}
			next.pos[l] = c.need[l]
		}
		free := math.Inf(-1)
		for _, l := range moving[:n] {
			cost := costOfMove(a.pos[l], c.need[l])
			free = max(free, a.ready[l])
			if cost == costTwo {
				free += busy.Two
			} else {
				free += busy.One
			}
			next.cost += cost + costOfLateness(free-t)
		}
		for _, l := range foot {
			ready := max(next.ready[l], free)
			if c.need[l] != Free {
				ready = max(ready, t)
			}
			next.ready[l] = ready
		}
	}
	return next
}

// sooner says whether the foot takes l's move before m's.
func (a *label) sooner(l, m Letter, c *choice) bool {
	if a.ready[l] != a.ready[m] {
		return a.ready[l] < a.ready[m]
	}
	return costOfMove(a.pos[l], c.need[l]) < costOfMove(a.pos[m], c.need[m])
}

// forget raises every ready time to where it makes no difference any more: each
// letter of the foot, moved over two notches one after the other, is in time for
// the next moment at t. What follows those moves has a release of its own.
func (a *label) forget(t float64, busy Busy) {
	for _, foot := range pedals {
		since := t - float64(len(foot))*max(busy.One, busy.Two)
		for _, l := range foot {
			if a.ready[l] < since {
				a.ready[l] = since
			}
		}
	}
}

// covers says that b can do nothing from here on that a cannot do at no more
// cost. Both have the same setting.
func (a *label) covers(b *label) bool {
	if a.cost > b.cost {
		return false
	}
	for l := range a.ready {
		if a.ready[l] > b.ready[l] {
			return false
		}
	}
	return true
}

// code numbers the settings, free pedals included: four values a letter.
func (a *label) code() int {
	code := 0
	for _, p := range a.pos {
		code = code<<2 | int(p+1)
	}
	return code
}
