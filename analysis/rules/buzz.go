package rules

import (
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/analysis/harp"
)

const buzzName = "hands/buzz"

// Buzz finds wire strings that are plucked again while they still swing.
var Buzz = Rule{
	Name:  buzzName,
	Title: "a wire string again while it still swings",
	Doc: `The lowest strings, below about G2, are wound with wire and swing wide and long. A finger that comes
back onto one too soon makes it buzz.

A string that is muffled (étouffé) does not swing any more.

Fails: C,,C,, in quavers at ♩ = 120. Passes: the same in half notes.

What to do: leave half a second between, change the octave, or let the first note ring.

Where the facts come from: replacing on a ringing string may buzz, worst on low strings (a series of
orchestration tips; read). The half second and the string from which wire begins are common practice, no
source.`,
	Check: checkBuzz,
}

func checkBuzz(p *Part) (out []Finding) {
	last := map[int]pluckAt{}
	p.eachInstant(func(group []pluckAt) {
		for _, pl := range group {
			s := pl.Note.String
			if s >= harp.FirstGut || pl.stroke < 0 {
				continue
			}
			before, again := last[s]
			last[s] = pl
			if gap := pl.t - before.t; again && !hands.Muffled(before.Event) && gap > 1e-9 && gap < p.Settings.Hand.BuzzWithin-1e-9 {
				f := p.strokeFinding(buzzName, pl.hand, pl.stroke, pl.stroke)
				f.Severity = p.speedSeverity(f.Severity)
				f.Message = fmt.Sprintf("`%s` (%s), a wire string, comes again after %s, while it still swings: it may buzz.",
					p.Typed(*pl.Pluck), p.pitch(*pl.Pluck), seconds(gap))
				f.Advice = "Leave half a second between, change the octave, or let the first note ring."
				out = append(out, f)
			}
		}
	})
	return out
}
