package fix

import (
	"fmt"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
)

// names are notes as typed; of many, the first few.
func (s *site) names(plucks []hands.Pluck) string {
	const shown = 6
	var names []string
	for i, pl := range plucks {
		if i == shown {
			names = append(names, "…")
			break
		}
		names = append(names, s.part.Typed(pl))
	}
	return strings.Join(names, " ")
}

// called are notes as typed, and where the first stands if the finding has more of
// its name: "B (beat 2½)".
func (s *site) called(plucks []hands.Pluck) string {
	name := s.names(plucks)
	if len(plucks) == 0 {
		return name
	}
	for _, stroke := range s.plucks() {
		for _, pl := range stroke {
			if pl.Event != plucks[0].Event && s.part.Typed(pl) == s.part.Typed(plucks[0]) {
				return name + " (" + s.beat(plucks[0]) + ")"
			}
		}
	}
	return name
}

// beat says where a note stands, with its bar where the finding has several.
func (s *site) beat(pl hands.Pluck) string {
	words := "beat " + rules.BeatName(pl.Onset, s.part.Timeline.BeatAt(pl.Bar, pl.Onset))
	if s.finding.EndBar > s.finding.Bar {
		return fmt.Sprintf("bar %d, %s", pl.Bar+s.cut.first, words)
	}
	return words
}

// fromThe names the first or the second of a row.
func fromThe(index int) string { return [...]string{"from the first", "from the second"}[index] }

// tellApart says of fixes with the same words which bar and beat they begin at, and
// where that is the same too, what they make of it.
func (s *site) tellApart(fixes []Fix, spots []string) {
	for _, more := range []func(i int) string{
		func(i int) string { return spots[i] },
		func(i int) string { return strings.ReplaceAll(fixes[i].After, "\n", " ") },
	} {
		count := map[string]int{}
		for _, f := range fixes {
			count[f.Title]++
		}
		for i := range fixes {
			if count[fixes[i].Title] > 1 && more(i) != "" {
				fixes[i].Title += " – " + more(i)
			}
		}
	}
}

// begins says where the first note that a change touches stands, in the order of
// the text; "" where it touches none.
func (s *site) begins(c change) string {
	var first *noteAt
	for _, at := range c.spots() {
		if first == nil || s.bar(at).Start+s.note(at).Span.Start < s.bar(*first).Start+s.note(*first).Span.Start {
			first = &at
		}
	}
	if first == nil {
		return ""
	}
	onset := s.event(*first).Onset
	return fmt.Sprintf("bar %d, beat %s", first.bar+1+s.cut.first, rules.BeatName(onset, s.part.Timeline.BeatAt(first.bar+1, onset)))
}
