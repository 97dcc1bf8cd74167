package rules

import "fmt"

const tooManyName = "hands/too-many"

// TooMany finds more strings at once than a hand has fingers for.
var TooMany = Rule{
	Name:  tooManyName,
	Title: "more than four strings at once in one hand",
	Doc: `A harpist plays with four fingers of each hand; the little finger is too short to reach the
strings. Five notes struck together in one hand have no finger for the fifth.

Fails: [CEGce] on one staff. Passes: [CEGc].

What to do: give a note to the other hand, leave out a doubled note (an inner octave first), or
break the chord.

Where the number comes from: four notes a hand, Rimsky-Korsakov, Principles of Orchestration (1913),
chapter I; read.`,
	Check: checkTooMany,
}

func checkTooMany(p *Part) (out []Finding) {
	for _, h := range p.Hands() {
		for i, s := range h.Strokes {
			n := len(s.Strings)
			if n <= 4 {
				continue
			}
			f := p.strokeFinding(tooManyName, h, i, i)
			f.Message = fmt.Sprintf("%s asks the %s for %d strings at once; it has four fingers, and the little finger does not play.",
				quoted(p.strokeName(h.Plucks[i])), h.Name, n)
			f.Advice = fmt.Sprintf("Leave out %s, or give the other hand what it can take.", count(n-4, "note"))
			p.helpWithChord(&f, h, s.T)
			out = append(out, f)
		}
	}
	return out
}
