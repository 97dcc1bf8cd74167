package fix

import (
	"context"
	"fmt"
	"sort"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
)

// passage respells the bars at fault as the feet like it best: the cheapest
// spelling in which all notes outside these bars stay as they are. Its candidates
// take in more bars one after another.
func passage(s *site) (out []candidate) {
	for more := range 3 {
		c := s.respelt(s.finding.Bar-more, s.finding.EndBar+more)
		if c.touched() == 0 {
			continue
		}
		title := fmt.Sprintf("Respell the passage for the feet: %s (same sound)", s.respellingWords(c))
		out = append(out, candidate{title: title, change: c, promise: sameSound, respells: true})
	}
	return out
}

// respelt asks the feet for the cheapest spelling of some bars, by number.
func (s *site) respelt(first, last int) change {
	music, from := s.instants()
	for i := range music {
		for n := range music[i].Notes {
			bar := from[i][n].Bar
			music[i].Notes[n].Fixed = bar < first || bar > last || !s.mayRespell(from[i][n])
		}
	}
	c := change{pitch: map[noteAt]pitch{}}
	best, err := feet.Spell(context.Background(), music, feet.SpellOptions{Initial: feet.AllFree(), Strings: feet.StringsOf(s.set.Instrument, music)})
	if err != nil {
		return c
	}
	for i := range music {
		for n, note := range best.Music[i].Notes {
			if note.String == music[i].Notes[n].String && note.Alter == music[i].Notes[n].Alter {
				continue
			}
			if at, ok := s.place(from[i][n]); ok {
				c.pitch[at] = pitch{note.String, note.Alter}
			}
		}
	}
	return c
}

// instants are the strokes of both hands by time, with the pluck of each note.
func (s *site) instants() (music []feet.Instant, from [][]hands.Pluck) {
	type struck struct {
		t float64
		hands.Pluck
	}
	var all []struck
	for _, h := range s.part.Hands() {
		for i, plucks := range h.Plucks {
			for _, pl := range plucks {
				all = append(all, struck{h.Strokes[i].T, pl})
			}
		}
		for _, d := range h.Doubled {
			all = append(all, struck{h.Strokes[d.Stroke].T, d.Pluck})
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].t < all[j].t })
	for i, x := range all {
		if i == 0 || x.t-all[i-1].t > 1e-9 {
			music, from = append(music, feet.Instant{T: x.t}), append(from, nil)
		}
		k := len(music) - 1
		music[k].Notes = append(music[k].Notes, feet.Note{String: x.Note.String, Alter: x.Note.Alter})
		from[k] = append(from[k], x.Pluck)
	}
	return music, from
}

// mayRespell is false for notes whose spelling binds: harmonics, tied notes, those
// that have no place of their own in the text.
func (s *site) mayRespell(pl hands.Pluck) bool {
	_, ok := s.place(pl)
	return ok && !tied(pl) && !hands.HasMark(pl.Event, "open")
}

// respellingWords list the first few different respellings: "G♯4 as A♭4".
func (s *site) respellingWords(c change) string {
	const shown = 4
	var spots []noteAt
	for at := range c.pitch {
		spots = append(spots, at)
	}
	sort.Slice(spots, func(i, j int) bool {
		return s.bar(spots[i]).Start+s.note(spots[i]).Span.Start < s.bar(spots[j]).Start+s.note(spots[j]).Span.Start
	})
	seen := map[string]bool{}
	words := ""
	for _, at := range spots {
		w := signed(pitchOf(s.note(at))) + " as " + signed(c.pitch[at])
		if seen[w] {
			continue
		}
		seen[w] = true
		if len(seen) > shown {
			return words + ", …"
		}
		if words != "" {
			words += ", "
		}
		words += w
	}
	return words
}
