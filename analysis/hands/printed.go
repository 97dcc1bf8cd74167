package hands

import (
	"cmp"
	"slices"

	"fourfold/parser/score"
)

// PrintedFinger is a finger number that stands over a note: a decoration !1! to !4!.
// Harp fingering counts from 1, the thumb. !5! and !0! are none of the harp's.
type PrintedFinger struct {
	Finger int
	Note   int        // index of the event's note that it belongs to; -1 where there is none for it
	Mark   score.Mark // as written
}

// PrintedFingers reads the finger numbers of an event. One inside a chord belongs to
// the note after it. Those before a chord go to its notes without one: the smallest to
// the highest note that can have it, since in both hands a higher string takes a lower
// finger. A note has one finger at most, and a note that is held over by a tie none.
func PrintedFingers(ev *score.Event) (out []PrintedFinger) {
	if !hasFingerMarks(ev) {
		return nil
	}
	var free []int // notes without a number of their own
	for n := range ev.Notes {
		if ev.Notes[n].TieFrom {
			continue
		}
		own := fingerMarks(ev.Notes[n].Marks, n)
		if len(own) == 0 {
			free = append(free, n)
		}
		for i := range own {
			if i > 0 {
				own[i].Note = -1
			}
		}
		out = append(out, own...)
	}
	slices.SortStableFunc(free, func(a, b int) int { return cmp.Compare(ev.Notes[b].String, ev.Notes[a].String) })
	over := fingerMarks(ev.Marks, -1)
	slices.SortStableFunc(over, func(a, b PrintedFinger) int { return cmp.Compare(a.Finger, b.Finger) })
	next := 0
	for i, f := range over {
		// Each note below takes a finger of its own, and so does each number that is left.
		spare := len(free) - (len(over) - i)
		for next < spare && f.Finger > mostStrings-(len(free)-1-next) {
			next++
		}
		if next < len(free) {
			f.Note = free[next]
			next++
		}
		out = append(out, f)
	}
	return out
}

func hasFingerMarks(ev *score.Event) bool {
	if slices.ContainsFunc(ev.Marks, isFingerMark) {
		return true
	}
	for n := range ev.Notes {
		if slices.ContainsFunc(ev.Notes[n].Marks, isFingerMark) {
			return true
		}
	}
	return false
}

func isFingerMark(m score.Mark) bool {
	return m.Kind == score.Decoration && len(m.Text) == 1 && m.Text >= "1" && m.Text <= "4"
}

func fingerMarks(marks []score.Mark, note int) (out []PrintedFinger) {
	for _, m := range marks {
		if isFingerMark(m) {
			out = append(out, PrintedFinger{int(m.Text[0] - '0'), note, m})
		}
	}
	return out
}

// printedOn gives the fingers printed on plucks; nil for none.
func printedOn(plucks []Pluck) []int {
	var out []int
	for i, p := range plucks {
		if p.Finger == 0 {
			continue
		}
		if out == nil {
			out = make([]int, len(plucks))
		}
		out[i] = p.Finger
	}
	return out
}
