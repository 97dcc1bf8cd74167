package fix

import (
	"context"
	"fmt"
	"sort"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
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

// stretch is some bars of a player's part, by number.
type stretch struct {
	player      string
	first, last int
}

// respelt is the cheapest spelling of some bars, by number. It is worked out once for all
// findings of an excerpt.
func (s *site) respelt(first, last int) change {
	of := stretch{s.part.Player.Name, first, last}
	s.mu.Lock()
	c, ok := s.spelt[of]
	s.mu.Unlock()
	if ok {
		return c
	}
	c = s.spell(first, last)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.spelt[of] = c
	return c
}

// spell asks the feet for the cheapest spelling of some bars.
func (s *site) spell(first, last int) change {
	all := s.part.Plucked()
	bound := rules.Bound(all)
	var music []feet.Instant
	var from [][]hands.Pluck
	for i, pl := range all {
		if i == 0 || pl.T-all[i-1].T > tolerance {
			music, from = append(music, feet.Instant{T: pl.T}), append(from, nil)
		}
		fixed := pl.Bar < first || pl.Bar > last || bound[i] || !s.mayRespell(pl.Pluck)
		k := len(music) - 1
		music[k].Notes = append(music[k].Notes, feet.Note{String: pl.Note.String, Alter: pl.Note.Alter, Fixed: fixed})
		from[k] = append(from[k], pl.Pluck)
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

// mayRespell is false for notes that are tied, or have no place of their own in the text.
func (s *site) mayRespell(pl hands.Pluck) bool {
	_, ok := s.place(pl)
	return ok && !tied(pl)
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
