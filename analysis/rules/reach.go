package rules

import (
	"fmt"

	"fourfold/analysis/hands"
)

const reachName = "hands/reach"

// Reach finds chords that no choice of fingers spans.
var Reach = Rule{
	Name:  reachName,
	Title: "no fingering reaches these notes together",
	Doc: `A harpist's hand spans a tenth between thumb and fourth finger, and the inner fingers stay
close: about a fourth between second and third, and between third and fourth. A chord that is wider
has to be rolled in two groups, thinned, or shared between the hands.

Fails: [CEGd'] in one hand. Passes: [C,G,C], a usual left-hand chord; [CEGc].

What to do: move a note by an octave, leave one out, roll the chord with time for it, or give a note to
the other hand.

A chord wider than a tenth is an error; one within a tenth that the inner fingers do not reach is
strained, a warning: roll it or thin it.

Hands differ. The limits are for a typical adult hand; stop at pain; the player and their teacher
decide.

Where the numbers come from: a tenth is common, an eleventh is not to be assumed, and a second finger
beside the thumb inside a tenth strains the hand (essays of the Harp Legacy Project; read). The spans
between the inner fingers are common practice, no source.`,
	Check: checkReach,
}

const tenth = 9 // steps

func checkReach(p *Part) (out []Finding) {
	for _, h := range p.Hands() {
		for k, pl := range h.Solution.Placings {
			if pl.Impossible && len(h.Strokes[pl.From].Strings) <= 4 {
				out = append(out, p.reachFinding(h, k))
			}
		}
	}
	return out
}

func (p *Part) reachFinding(h *Hand, k int) Finding {
	i := h.Solution.Placings[k].From
	strs := h.Strokes[i].Strings
	w := widest(h.Solution.Spreads(k))
	f := p.strokeFinding(reachName, h, i, i)
	a, b := h.Plucks[i][indexOf(strs, w.Low)], h.Plucks[i][indexOf(strs, w.High)]
	verdict := "out of reach"
	if strs[len(strs)-1]-strs[0] <= tenth {
		verdict = "strained: roll it or thin it"
		if f.Severity == Error {
			f.Severity = Warning
		}
	}
	f.Message = fmt.Sprintf("%s is %s. For the %s, from `%s` (%s) under the %s to `%s` (%s) under the %s is %s, and these fingers span %s at most.",
		quoted(p.strokeName(h.Plucks[i])), verdict, h.Name, p.Typed(a), p.pitch(a), FingerWords(w.LowFinger),
		p.Typed(b), p.pitch(b), FingerWords(w.HighFinger), IntervalWords(w.Steps), IntervalWords(p.mostBetween(w)))
	f.Advice = "Move a note by an octave, leave one out, roll it (!arpeggio!) with time for it, or give one to the other hand."
	p.helpWithChord(&f, h, h.Strokes[i].T)
	return f
}

// widest is the spread that goes furthest beyond what its fingers can take.
func widest(spreads []hands.Spread) hands.Spread {
	w := spreads[0]
	for _, s := range spreads[1:] {
		if !s.Fits && (w.Fits || s.Beyond > w.Beyond) {
			w = s
		}
	}
	return w
}

// mostBetween is the widest distance in steps that two fingers take.
func (p *Part) mostBetween(s hands.Spread) int {
	hand := p.Settings.Hand
	return min(hand.Spans[s.HighFinger][s.LowFinger].Most, hand.Outer.Most)
}
