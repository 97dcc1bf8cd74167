package fix

import (
	"fmt"
	"sort"
	"strings"

	"fourfold/analysis/hands"
)

// voicing closes or opens a chord by octaves: the same pitch classes, with the
// same one at the bottom and on top.
func voicing(s *site) (out []candidate) {
	var all []candidate
	strokes := s.plucks()
	each := change{pitch: map[noteAt]pitch{}}
	for _, plucks := range strokes {
		best, ok := change{}, false
		for _, c := range s.revoiced(plucks) {
			all = append(all, candidate{title: s.voicingTitle(plucks, c), change: c, promise: sameVoicing})
			if !ok {
				best, ok = c, true
			}
		}
		for at, p := range best.pitch {
			each.pitch[at] = p
		}
		if len(all) > mostVoicings {
			break
		}
	}
	out = append(out, all...)
	if len(strokes) > 1 && len(each.pitch) > 1 {
		out = append(out, candidate{title: "Close the chords by octaves (same harmony, same bass and top)", change: each, promise: sameVoicing})
	}
	return out
}

const mostVoicings = 48

func (s *site) voicingTitle(plucks []hands.Pluck, c change) string {
	was, is := 0, 0
	low, high := 1<<30, -1<<30
	var names, up, down []hands.Pluck
	for _, pl := range plucks {
		str := pl.Note.String
		if p, ok := c.pitch[s.spots[pl.Note]]; ok {
			if names = append(names, pl); p.str > str {
				up = append(up, pl)
			} else {
				down = append(down, pl)
			}
			str = p.str
		}
		low, high = min(low, str), max(high, str)
	}
	was, is = plucks[len(plucks)-1].Note.String-plucks[0].Note.String, high-low
	verb := "Close"
	switch {
	case is == was && len(names) == len(plucks):
		where := "up"
		if low < plucks[0].Note.String {
			where = "down"
		}
		return fmt.Sprintf("Move the chord %s an octave %s (same harmony, same bass and top)", s.called(names), where)
	case is >= was:
		verb = "Open"
	}
	var moves []string
	if len(down) > 0 {
		moves = append(moves, s.called(down)+" an octave down")
	}
	if len(up) > 0 {
		moves = append(moves, s.called(up)+" an octave up")
	}
	return fmt.Sprintf("%s the chord: %s (same harmony, same bass and top)", verb, strings.Join(moves, ", "))
}

// revoiced gives the ways to move notes of a chord by an octave so that it lies
// within the hand, the least change first.
func (s *site) revoiced(plucks []hands.Pluck) (out []change) {
	n := len(plucks)
	if n < 2 || n > 6 {
		return nil
	}
	ways := 1
	for range n {
		ways *= 3
	}
	for way := 1; way < ways; way++ {
		c := change{pitch: map[noteAt]pitch{}}
		var strings []int
		ok := true
		for i, w := 0, way; i < n; i, w = i+1, w/3 {
			str := plucks[i].Note.String + [...]int{0, -7, 7}[w%3]
			strings = append(strings, str)
			if w%3 == 0 {
				continue
			}
			at, found := s.place(plucks[i])
			ok = ok && found && !tied(plucks[i]) && !plucks[i].Grace
			c.pitch[at] = pitch{str, plucks[i].Note.Alter}
		}
		if ok && s.voiced(plucks, strings) {
			out = append(out, c)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].touched() < out[j].touched() })
	return out[:min(len(out), 8)]
}

// voiced says whether strings, note by note, are a chord that a hand takes, on the
// harp, none twice, with the bass and the top that it had.
func (s *site) voiced(plucks []hands.Pluck, strings []int) bool {
	low, high := 0, 0
	for i, str := range strings {
		if str < s.set.Instrument.Lowest || str > s.set.Instrument.Highest {
			return false
		}
		for _, other := range strings[:i] {
			if other == str {
				return false
			}
		}
		if str < strings[low] {
			low = i
		}
		if str > strings[high] {
			high = i
		}
	}
	last := len(plucks) - 1
	sorted := append([]int{}, strings...)
	sort.Ints(sorted)
	return class(plucks[low].Note) == class(plucks[0].Note) && class(plucks[high].Note) == class(plucks[last].Note) &&
		hands.Reachable(sorted, s.set.Hand)
}
