package rules

import (
	"fmt"
	"sort"
)

const undiscedName = "strings/undisced"

// Undisced finds low strings that are asked for in two tunings.
var Undisced = Rule{
	Name:  undiscedName,
	Title: "a string without discs cannot change in mid piece",
	Doc: `The lowest strings of a concert harp, C1 and D1, have no mechanism: no pedal moves them. The player tunes them
before the piece to what it needs, and so they stay.

Fails: _C,,, and later ^C,,, in one piece. Passes: C,,, throughout.

What to do: keep to one tuning, or write the other note an octave higher.

Where the fact comes from: a composers' handout on the pedal harp (C1 and D1; read); some handbooks say only C1
(a series of orchestration tips, no. 65; read); makers vary.`,
	Whole: checkUndisced,
}

func checkUndisced(p *Part) (out []Finding) {
	fixed := p.fixedStrings()
	strings := make([]int, 0, len(fixed))
	for s := range fixed {
		strings = append(strings, s)
	}
	sort.Ints(strings)
	for _, s := range strings {
		plucks := fixed[s]
		sort.SliceStable(plucks, func(i, j int) bool { return plucks[i].t < plucks[j].t })
		for _, pl := range plucks[1:] {
			if pl.Note.Alter == plucks[0].Note.Alter {
				continue
			}
			f := p.finding(undiscedName, *pl.Pluck)
			f.Message = fmt.Sprintf("`%s` (%s): this string has no discs and was tuned before the piece to %s, which bar %d needs.",
				p.Typed(*pl.Pluck), p.pitch(*pl.Pluck), p.pitch(*plucks[0].Pluck), plucks[0].Bar)
			f.Advice = "Keep to one tuning, or write the note an octave higher."
			f.Related = []Related{{Span: plucks[0].Span, Message: "tuned for this note"}}
			out = append(out, f)
		}
	}
	return out
}
