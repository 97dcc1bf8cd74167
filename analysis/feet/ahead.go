package feet

import "math"

// The table of what lies ahead counts in the smallest cost, a respelled note.
const unit = costRespelled

// allSettings is how many settings there are: 3 to the 7th.
const allSettings = 2187

// weights of the letters in the number of a setting.
var weights = [Letters]int{1, 3, 9, 27, 81, 243, 729}

// ahead knows for each moment and setting a cost that the rest of the music, that
// moment included, will not be under. It is the exact cost if no foot were ever in the
// other move's way; of lateness it holds what is certain however the music is
// spelled (a letter that every spelling of an earlier moment uses cannot be
// moved sooner).
type ahead struct {
	floor []int64              // least over all settings
	above [][allSettings]uint8 // how much more in each setting, in units, at most 255
}

func lookAhead(music []moment, busy Busy) *ahead {
	a := &ahead{floor: make([]int64, len(music)+1), above: make([][allSettings]uint8, len(music)+1)}
	used := surelyUsed(music)
	var next, rest [allSettings]int64
	for i := len(music) - 1; i >= 0; i-- {
		if len(music[i].choices) == 0 {
			a.floor[i], a.above[i] = a.floor[i+1], a.above[i+1]
			continue
		}
		for x := range rest {
			rest[x] = math.MaxInt64
		}
		for c := range music[i].choices {
			relax(&rest, &next, &music[i].choices[c], music[i].t, used[i], busy)
		}
		least := rest[0]
		for _, v := range rest {
			least = min(least, v)
		}
		a.floor[i] = a.floor[i+1] + least*unit
		for x, v := range rest {
			next[x] = min(v-least, 255)
			a.above[i][x] = uint8(next[x])
		}
	}
	return a
}

// relax lowers the cost of each setting to what it is with this choice.
func relax(rest, next *[allSettings]int64, c *choice, t float64, used [Letters]float64, busy Busy) {
	var buffer [allSettings]int64
	costs := append(buffer[:0], int64(c.respelled))
	for l := C; l <= B; l++ {
		if c.need[l] == Free {
			continue
		}
		had := len(costs)
		costs = costs[:3*had]
		for p := Sharp; p >= Flat; p-- {
			more := costOfMove(p, c.need[l]) / unit
			switch more {
			case costMove / unit:
				more += costOfLateness(used[l]+busy.One-t) / unit
			case costTwo / unit:
				more += costOfLateness(used[l]+busy.Two-t) / unit
			}
			for k, v := range costs[:had] {
				costs[int(p+1)*had+k] = v + more
			}
		}
	}
	for _, o := range c.reach.others {
		after := next[c.reach.to+o]
		for k, x := range c.reach.asked {
			if v := costs[k] + after; v < rest[x+o] {
				rest[x+o] = v
			}
		}
	}
}

// reach is how a choice changes the numbers of settings: a setting is the sum of
// one of asked, for the letters that the choice needs, and one of others; with
// this choice the first becomes to.
type reach struct {
	asked, others []int
	to            int
}

func reachOf(need Setting) reach {
	r := reach{asked: []int{0}, others: []int{0}}
	for l := C; l <= B; l++ {
		if need[l] == Free {
			r.others = spread(r.others, weights[l])
			continue
		}
		r.to += int(need[l]+1) * weights[l]
		r.asked = spread(r.asked, weights[l])
	}
	return r
}

// spread gives the numbers with each of the three positions of one letter more.
func spread(numbers []int, weight int) []int {
	all := make([]int, 0, 3*len(numbers))
	for p := range 3 {
		for _, n := range numbers {
			all = append(all, n+p*weight)
		}
	}
	return all
}

// surelyUsed gives for each moment when each letter was last used before it in
// every spelling there is.
func surelyUsed(music []moment) [][Letters]float64 {
	used := make([][Letters]float64, len(music))
	var last [Letters]float64
	for l := range last {
		last[l] = math.Inf(-1)
	}
	for i, m := range music {
		used[i] = last
		for l := range last {
			sure := len(m.choices) > 0
			for c := range m.choices {
				sure = sure && m.choices[c].need[l] != Free
			}
			if sure {
				last[l] = m.t
			}
		}
	}
	return used
}

// from gives the least cost of the rest from moment i on in a setting; a free
// pedal is where it is best.
func (a *ahead) from(i int, s Setting) int64 {
	return a.floor[i] + int64(a.least(i, &s, C, 0))*unit
}

func (a *ahead) least(i int, s *Setting, l Letter, x int) uint8 {
	for ; l <= B; l++ {
		if s[l] == Free {
			return min(a.least(i, s, l+1, x), a.least(i, s, l+1, x+weights[l]), a.least(i, s, l+1, x+2*weights[l]))
		}
		x += int(s[l]+1) * weights[l]
	}
	return a.above[i][x]
}
