package feet

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// choice is one way to spell all the notes of a moment: what it asks of the
// pedals, and how many notes are not as written.
type choice struct {
	need      Setting // Free where nothing is asked
	respelled int
	notes     []Note // one for each note of the moment
	reach     reach
}

// moment is the notes of all instants that are at one time, and the ways to
// spell them. Without any way the moment cannot be played, and is left as it is
// written and asks nothing.
type moment struct {
	t       float64
	notes   []Note   // each once
	from    [][2]int // for each note of the instants, which of them it is: instant, place
	which   []int    // for each of from, the place in notes
	choices []choice
}

// moments gathers the instants that are less than 1e-9 s apart, in order of time.
func moments(music []Instant, s Strings) []moment {
	order := make([]int, len(music))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(music[i].T, music[j].T) })
	var all []moment
	for _, i := range order {
		if len(all) == 0 || music[i].T-all[len(all)-1].t > tolerance {
			all = append(all, moment{t: music[i].T})
		}
		all[len(all)-1].add(i, music[i].Notes)
	}
	known := map[string][]choice{}
	for i := range all {
		key := signature(all[i].notes)
		if _, ok := known[key]; !ok {
			known[key] = choices(all[i].notes, s)
		}
		all[i].choices = known[key]
	}
	return all
}

// add puts an instant's notes into the moment. A note written twice is one
// string plucked once.
func (m *moment) add(instant int, notes []Note) {
	for place, n := range notes {
		which := -1
		for w, have := range m.notes {
			if have.String == n.String && have.Alter == n.Alter {
				which = w
				m.notes[w].Fixed = have.Fixed || n.Fixed
			}
		}
		if which < 0 {
			which = len(m.notes)
			m.notes = append(m.notes, n)
		}
		m.from = append(m.from, [2]int{instant, place})
		m.which = append(m.which, which)
	}
}

func signature(notes []Note) string {
	var key []byte
	for _, n := range notes {
		key = binary.AppendVarint(key, int64(n.String))
		key = binary.AppendVarint(key, int64(n.Alter))
		if n.Fixed {
			key = append(key, 'f')
		}
	}
	return string(key)
}

// choices finds the ways to spell the notes together, as written first. No
// letter is at two positions; of ways that ask the same of the pedals the one
// nearest to the written is kept. Two notes of one pitch on two strings are a
// doubling that the writer wants, and stay if they can be played. No two notes
// come to be on one string. A note beyond the harp that has no spelling on it
// stays as it is and asks nothing.
func choices(notes []Note, s Strings) []choice {
	ways := []choice{{need: AllFree()}}
	for i, n := range notes {
		var spellings []Note
		if s.sounds(n) {
			spellings = append(spellings, n)
		}
		if !n.Fixed && !(doubled(notes, i) && s.sounds(n)) {
			spellings = append(spellings, s.Respellings(n)...)
		}
		if len(spellings) == 0 && !s.has(n.String) {
			spellings = append(spellings, n)
		}
		ways = extend(ways, n, spellings, s)
	}
	for k := range ways {
		ways[k].reach = reachOf(ways[k].need)
	}
	slices.SortStableFunc(ways, func(a, b choice) int { return cmp.Compare(a.respelled, b.respelled) })
	return ways
}

// doubled says whether another note sounds the same pitch.
func doubled(notes []Note, i int) bool {
	for j, other := range notes {
		if j != i && other.Pitch() == notes[i].Pitch() {
			return true
		}
	}
	return false
}

func plucks(notes []Note, str int) bool {
	for _, n := range notes {
		if n.String == str {
			return true
		}
	}
	return false
}

// extend gives the ways to spell one note more.
func extend(ways []choice, written Note, spellings []Note, s Strings) []choice {
	var more []choice
	at := map[Setting]int{}
	for _, way := range ways {
		for _, n := range spellings {
			if plucks(way.notes, n.String) {
				continue
			}
			next := choice{need: way.need, respelled: way.respelled}
			if n.String != written.String || n.Alter != written.Alter {
				next.respelled++
			}
			if s.asks(n) {
				l := n.Letter()
				if next.need[l] != Free && next.need[l] != Pos(n.Alter) {
					continue
				}
				next.need[l] = Pos(n.Alter)
			}
			k, known := at[next.need]
			if known && more[k].respelled <= next.respelled {
				continue
			}
			next.notes = append(append(next.notes, way.notes...), n)
			if known {
				more[k] = next
				continue
			}
			at[next.need] = len(more)
			more = append(more, next)
		}
	}
	return more
}
