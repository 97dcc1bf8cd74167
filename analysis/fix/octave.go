package fix

import (
	"fmt"

	"fourfold/analysis/hands"
)

// octave moves one note by an octave: where a scale turns under the fingers, so
// that the hand can go on, or where the harp has no string. A string that comes
// again too soon has every second strike moved.
func octave(s *site) (out []candidate) {
	if s.hand == nil {
		return s.intoRange()
	}
	strokes := s.plucks()
	for _, plucks := range strokes {
		for _, pl := range plucks {
			if at, ok := s.place(pl); ok && len(plucks) == 1 && len(strokes) <= mostSingles && !tied(pl) && !pl.Grace {
				for _, by := range []int{-7, 7} {
					out = append(out, s.moved([]noteAt{at}, s.names(plucks), by))
				}
			}
		}
	}
	again := map[int][]hands.Pluck{}
	for _, plucks := range strokes {
		for _, pl := range plucks {
			again[pl.Note.String] = append(again[pl.Note.String], pl)
		}
	}
	for str := s.set.Instrument.Lowest; str <= s.set.Instrument.Highest; str++ {
		for from := 1; from >= 0 && len(again[str]) > 2; from-- {
			var second []noteAt
			for i := from; i < len(again[str]); i += 2 {
				if at, ok := s.place(again[str][i]); ok && !tied(again[str][i]) {
					second = append(second, at)
				}
			}
			for _, by := range []int{-7, 7} {
				out = append(out, s.moved(second, "every second "+s.part.Typed(again[str][0]), by))
			}
		}
	}
	return out
}

// moved shifts notes by whole octaves.
func (s *site) moved(notes []noteAt, names string, by int) candidate {
	c := candidate{promise: sameClasses, change: change{pitch: map[noteAt]pitch{}}}
	for _, at := range notes {
		p := pitchOf(s.note(at))
		c.pitch[at] = pitch{p.str + by, p.alter}
	}
	where, far := "up", by/7
	if by < 0 {
		where, far = "down", -far
	}
	octaves := "an octave"
	if far > 1 {
		octaves = fmt.Sprintf("%d octaves", far)
	}
	c.title = fmt.Sprintf("Move %s %s %s (same rhythm)", names, octaves, where)
	return c
}

// intoRange moves the marked notes by as many octaves as bring them onto the harp,
// and one on a string without discs up to where there are some.
func (s *site) intoRange() (out []candidate) {
	low, high := s.set.Instrument.Lowest, s.set.Instrument.Highest
	for _, at := range s.marked() {
		str, by := s.note(at).String, 0
		for str+by < low {
			by += 7
		}
		for str+by > high {
			by -= 7
		}
		if s.finding.Rule == undiscedName {
			by = 7
		}
		if by != 0 {
			out = append(out, s.moved([]noteAt{at}, s.name(at), by))
		}
	}
	return out
}
