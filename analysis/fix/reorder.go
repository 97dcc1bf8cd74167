package fix

import (
	"fmt"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// reorder puts the notes of the figures at fault into one direction: the same
// notes in the same rhythm. Its candidates group the notes by one, two or four
// beats and run upwards or downwards.
func reorder(s *site) (out []candidate) {
	for _, figures := range s.part.Groupings(s.hand, s.Finding.From, s.Finding.To) {
		for _, up := range []bool{true, false} {
			if c, ok := s.reordered(figures, up); ok {
				out = append(out, c)
			}
		}
	}
	return out
}

// reordered sorts every figure that can be sorted.
func (s *site) reordered(figures []rules.Figure, up bool) (candidate, bool) {
	want, heads := map[noteAt]pitch{}, map[noteAt]string{}
	c := candidate{promise: func(a, b *score.Tune) bool { return sameRhythm(a, b) && sameNotes(a, b) }}
	first, changed := "", 0
	for _, f := range figures {
		order, ok := s.hand.Sorted(f, up)
		if !ok || !s.canSwap(f) {
			continue
		}
		changed++
		var names []string
		for k, i := range order {
			from, to := s.hand.Plucks[i][0], s.hand.Plucks[f.From+k][0]
			names = append(names, s.part.Typed(from))
			if from.Note == to.Note {
				continue
			}
			at, ok := s.place(to)
			if !ok {
				return candidate{}, false
			}
			want[at] = pitch{from.Note.String, from.Note.Alter}
			heads[at] = s.part.Typed(from)
			c.moved++
			c.steps += distance(from.Note.String, to.Note.String)
		}
		if first == "" {
			first = strings.Join(names, " ")
		}
	}
	if changed == 0 {
		return candidate{}, false
	}
	direction := "downwards"
	if up {
		direction = "upwards"
	}
	c.title = fmt.Sprintf("Put the figure in one direction, %s: %s (same notes, same rhythm)", direction, first)
	if changed > 1 {
		c.title = fmt.Sprintf("Put %d figures in one direction, %s, the first as %s (same notes, same rhythm)", changed, direction, first)
	}
	edits, ok := s.rewrite(want, heads)
	c.edits = edits
	return c, ok
}

// canSwap says whether the notes of a figure may change places in the text: one
// voice and layer, no ties, graces, printed fingers or macros.
func (s *site) canSwap(f rules.Figure) bool {
	first := s.hand.Plucks[f.From][0]
	for i := f.From; i <= f.To; i++ {
		pl := s.hand.Plucks[i][0]
		if pl.Voice != first.Voice || pl.Event.Layer != first.Event.Layer || pl.Event.Chord || tied(pl) ||
			pl.Event.Expanded || len(pl.Event.Graces) > 0 || hasFinger(pl.Event) {
			return false
		}
	}
	return true
}

func tied(pl hands.Pluck) bool { return pl.Note.TieTo || pl.Note.TieFrom }

func hasFinger(ev *score.Event) bool {
	for _, m := range ev.Marks {
		if m.Kind == score.Decoration && len(m.Text) == 1 && m.Text[0] >= '0' && m.Text[0] <= '5' {
			return true
		}
	}
	return false
}

// place finds a pluck's note in its tune.
func (s *site) place(pl hands.Pluck) (noteAt, bool) {
	for v, voice := range s.Score.Tunes[s.tune].Voices {
		if voice != pl.Voice {
			continue
		}
		for e := range voice.Bars[pl.Bar-1].Events {
			ev := &voice.Bars[pl.Bar-1].Events[e]
			if ev != pl.Event {
				continue
			}
			for n := range ev.Notes {
				if &ev.Notes[n] == pl.Note {
					return noteAt{v, pl.Bar - 1, e, n}, true
				}
			}
		}
	}
	return noteAt{}, false
}

func distance(a, b int) int {
	if a < b {
		return b - a
	}
	return a - b
}
