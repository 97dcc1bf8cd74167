package fix

import (
	"fmt"
	"sort"

	"fourfold/analysis/hands"
)

// doubled leaves out notes that sound in another octave of the same moment, an
// inner one first.
func doubled(s *site) (out []candidate) {
	drop := func(title string, notes []hands.Pluck) {
		c := candidate{title: fmt.Sprintf("%s %s (same harmony, same bass and top)", title, s.called(notes)), promise: sameHarmony,
			change: change{drop: map[noteAt]bool{}}}
		for _, pl := range notes {
			at, ok := s.place(pl)
			if !ok {
				return
			}
			c.drop[at] = true
		}
		if len(c.drop) > 0 {
			out = append(out, c)
		}
	}
	strokes := s.plucks()
	if from, to, ok := s.octaveRun(); ok {
		for _, within := range [][2]int{s.wholeFigures(from, to), {from, to}} {
			low, high := s.octaveEnds(within[0], within[1])
			inner, outer := low, high
			if s.hand == s.part.Left {
				inner, outer = high, low
			}
			drop("Play single notes instead of the octaves: leave out", inner)
			drop("Play single notes instead of the octaves: leave out", outer)
		}
		return out
	}
	var all, lowest, highest []hands.Pluck
	for i, plucks := range strokes {
		spare := s.spare(s.finding.From+i, plucks)
		if len(spare) == 0 {
			continue
		}
		if len(strokes) <= mostSingles {
			for n := range spare {
				drop("Leave out the doubled", spare[n:n+1])
			}
			for n := 2; n <= len(spare) && n < len(plucks); n++ {
				drop("Leave out the doubled", spare[:n])
			}
		}
		all = append(all, spare[0])
		if len(plucks) == 2 {
			lowest, highest = append(lowest, plucks[0]), append(highest, plucks[1])
		}
	}
	if len(strokes) > 1 {
		for _, notes := range [][]hands.Pluck{all, lowest, highest} {
			if len(notes) > 1 {
				drop("Leave out the doubled notes", notes)
			}
		}
	}
	return out
}

// spare are notes of a chord whose pitch class sounds elsewhere in its moment,
// inner ones first, the lowest of these first.
func (s *site) spare(stroke int, plucks []hands.Pluck) (out []hands.Pluck) {
	if len(plucks) < 2 {
		return nil
	}
	count := map[int]int{}
	for _, pl := range plucks {
		count[class(pl.Note)]++
	}
	if s.other != nil {
		for i, o := range s.other.Strokes {
			if distanceOf(o.T, s.hand.Strokes[stroke].T) < 1e-9 {
				for _, pl := range s.other.Plucks[i] {
					count[class(pl.Note)]++
				}
			}
		}
	}
	for _, pl := range plucks {
		if count[class(pl.Note)] > 1 {
			out = append(out, pl)
		}
	}
	outer := func(pl hands.Pluck) int {
		switch pl.Note {
		case plucks[0].Note:
			return 1
		case plucks[len(plucks)-1].Note:
			return 2
		}
		return 0
	}
	sort.SliceStable(out, func(i, j int) bool { return outer(out[i]) < outer(out[j]) })
	return out
}

func distanceOf(a, b float64) float64 { return max(a-b, b-a) }

// octaveRun finds the row of octaves that the finding lies in, stroke by stroke, to
// both sides; false where it lies in none, or in a single one.
func (s *site) octaveRun() (from, to int, ok bool) {
	if s.hand == nil {
		return 0, 0, false
	}
	isOctave := func(i int) bool {
		plucks := s.hand.Plucks[i]
		return len(plucks) == 2 && plucks[1].Note.String-plucks[0].Note.String == 7 && !plucks[0].Grace
	}
	from, to = s.finding.From, s.finding.To
	for i := from; i <= to; i++ {
		if !isOctave(i) {
			return 0, 0, false
		}
	}
	for from > 0 && isOctave(from-1) && s.hand.Strokes[from].T-s.hand.Strokes[from-1].T < s.set.Hand.Afresh {
		from--
	}
	for to+1 < len(s.hand.Plucks) && isOctave(to+1) && s.hand.Strokes[to+1].T-s.hand.Strokes[to].T < s.set.Hand.Afresh {
		to++
	}
	return from, to, to > from
}

// wholeFigures are the beats that the finding touches, whole, as far as a row goes.
func (s *site) wholeFigures(from, to int) [2]int {
	out := [2]int{s.finding.From, s.finding.To}
	for _, f := range s.part.Groupings(s.hand, s.finding.From, s.finding.To)[0] {
		out = [2]int{min(out[0], f.From), max(out[1], f.To)}
	}
	return [2]int{max(out[0], from), min(out[1], to)}
}

// octaveEnds are the lower and the upper notes of a row of octaves.
func (s *site) octaveEnds(from, to int) (low, high []hands.Pluck) {
	for i := from; i <= to; i++ {
		low, high = append(low, s.hand.Plucks[i][0]), append(high, s.hand.Plucks[i][1])
	}
	return low, high
}
