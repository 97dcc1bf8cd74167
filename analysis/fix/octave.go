package fix

import (
	"fmt"
	"slices"

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
					out = append(out, s.moved([]noteAt{at}, s.called(plucks), by))
				}
			}
		}
	}
	whole := s.wholeFigures(0, len(s.hand.Plucks)-1)
	out = append(out, s.closer(s.hand.Plucks[whole[0]:whole[1]+1])...)
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
				out = append(out, s.moved(second, fmt.Sprintf("every second %s (%s)", s.part.Typed(again[str][0]), fromThe(from)), by))
			}
		}
	}
	return out
}

// leapt is from how many steps on a gap between the lower and the upper notes of a
// row is a leap: a sixth.
const leapt = 5

// closer brings the notes of a row that leaps to and fro together: those below its
// widest gap an octave up, or those above it an octave down.
func (s *site) closer(strokes [][]hands.Pluck) (out []candidate) {
	var row []int
	for _, plucks := range strokes {
		if len(plucks) != 1 || plucks[0].Grace || tied(plucks[0]) {
			return nil
		}
		row = append(row, plucks[0].Note.String)
	}
	gap, from := widestGap(row)
	if len(row) < 3 || gap < leapt {
		return nil
	}
	var sides [2][]hands.Pluck // below the gap, above it
	var spots [2][]noteAt
	for _, plucks := range strokes {
		side := 0
		if plucks[0].Note.String > from {
			side = 1
		}
		at, ok := s.place(plucks[0])
		if !ok {
			return nil
		}
		sides[side], spots[side] = append(sides[side], plucks[0]), append(spots[side], at)
	}
	for side, by := range [2]int{7, -7} {
		if len(spots[side]) > 1 {
			which := [2]string{"lower", "upper"}[side]
			out = append(out, s.moved(spots[side], fmt.Sprintf("the %s notes of the leaps, %s,", which, s.names(sides[side])), by))
		}
	}
	return out
}

// widestGap gives the widest gap between neighbouring strings of a row, and the
// string below it.
func widestGap(row []int) (gap, from int) {
	sorted := slices.Sorted(slices.Values(row))
	for i := 1; i < len(sorted); i++ {
		if g := sorted[i] - sorted[i-1]; g > gap {
			gap, from = g, sorted[i-1]
		}
	}
	return gap, from
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
