package rules

import (
	"fmt"
	"sort"

	"fourfold/analysis/hands"
)

const muffledName = "hands/muffled"

// Muffled finds muffled notes that come too fast, or in the right hand.
var Muffled = Rule{
	Name:  muffledName,
	Title: "muffled notes need time and the left hand",
	Doc: `Étouffé means that each note is stopped at once: the left hand lies flat, plucks with the thumb and muffles with
the palm, note by note. That takes time, and the right hand does not do it well.

Read as muffled: étouffé, étouffez, sons étouffés, muffled over a note. Dots alone are not.

Fails: "^étouffé"CDEF in sixteenths at ♩ = 120. Passes: the same in quavers in the left hand.

What to do: give it to the left hand, slower, or write rests and let the player damp.

Where the facts come from: a players' information sheet on muffling: a left-hand technique, note by note, that
slows the possible tempo; read. The time is common practice, no source.`,
	Check: checkMuffled,
}

func checkMuffled(p *Part) (out []Finding) {
	p.eachMarked(func(ev eventAt) {
		if !hands.Muffled(ev.Event) {
			return
		}
		f := p.eventFinding(muffledName, ev)
		f.Advice = "Give it to the left hand, slower, or write rests and let the player damp."
		next := ev.hand.after(ev.t)
		switch {
		case next-ev.t < p.Settings.Hand.Muffle-1e-9:
			f.Severity = p.speedSeverity(f.Severity)
			f.Message = fmt.Sprintf("Muffling a note takes about %s, and the next one comes after %s.", seconds(p.Settings.Hand.Muffle), seconds(next-ev.t))
		case ev.hand == p.Right && p.Left != nil:
			f.Severity = Hint
			f.Message = "Muffled notes are a technique of the left hand; here they stand in the right."
		default:
			return
		}
		out = append(out, f)
	})
	return out
}

// after is the time of the hand's next stroke; an hour later where there is none.
func (h *Hand) after(t float64) float64 {
	if i := sort.Search(len(h.Strokes), func(i int) bool { return h.Strokes[i].T > t+1e-9 }); i < len(h.Strokes) {
		return h.Strokes[i].T
	}
	return t + 3600
}
