package rules

import (
	"fmt"

	"fourfold/analysis/hands"
)

const tightName = "hands/tight"

// Tight marks the tightest place of a passage that just holds.
var Tight = Rule{
	Name:  tightName,
	Title: "it holds, with little to spare",
	Doc: `The passage can be played at this tempo, but its tightest place uses more than 85 % of the time
there is. Good harp parts have such places; many in a row tire. One hint a passage names the tightest.

Example: four-note groups in one direction at ♩ = 140. With more room: the same at ♩ = 120.

What to do: nothing, or a little slower.

Where the number comes from: common practice, no source.`,
	Whole:    checkTight,
	Fingered: true,
}

func checkTight(p *Part) (out []Finding) {
	for _, h := range p.Hands() {
		for _, passage := range h.Solution.Passages() {
			passage, ok := p.ownPart(h, passage)
			if !ok || h.anyRunIn(passage.From, passage.To) {
				continue
			}
			if o, ok := h.tightest(passage.From, passage.To, p.Settings.Hand.Tight); ok {
				load := h.ceilingOf(passage.From, passage.To)
				if load > p.Settings.Hand.Tight && load <= 1+tolerance {
					out = append(out, p.tightFinding(h, o, load))
				}
			}
		}
	}
	return out
}

// borderBars is how many bars on each side of a border between sections of a long tune a
// passage over it may take up to be one. Of one that is longer each section tells of its
// own part.
const borderBars = 8

// ownPart is what a section is to look at of a passage; false for nothing.
func (p *Part) ownPart(h *Hand, passage hands.Passage) (hands.Passage, bool) {
	if p.section == nil {
		return passage, true
	}
	pls := h.Solution.Placings
	bar := func(placing int) int { return h.Plucks[pls[placing].From][0].Bar }
	from, to := p.section.From, p.section.To
	within := func(first, last int) bool { return first <= bar(passage.From) && bar(passage.To) <= last }
	if within(from-borderBars, from+borderBars-1) || within(to-borderBars+1, to+borderBars) {
		return passage, true
	}
	for passage.From <= passage.To && bar(passage.From) < from {
		passage.From++
	}
	for passage.From <= passage.To && bar(passage.To) > to {
		passage.To--
	}
	return passage, passage.From <= passage.To
}

func (h *Hand) anyRunIn(from, to int) bool {
	for _, r := range h.runs {
		if r.from >= from && r.to <= to {
			return true
		}
	}
	return false
}

// tightest is the largest need of the placings and changes of a passage.
func (h *Hand) tightest(from, to int, tight float64) (worst overload, ok bool) {
	for pl := from; pl <= to; pl++ {
		for _, u := range []int{2*pl - 1, 2 * pl} {
			if u < 2*from || h.loadOf(u) <= tight {
				continue
			}
			for _, n := range h.needsOf(u) {
				if n.Load > tight && n.Load > worst.need.Load && !h.inRoll(n) {
					worst, ok = overload{unit: u, need: n}, true
				}
			}
		}
	}
	return worst, ok
}

// inRoll says whether a need lies inside a rolled chord, whose pace is the
// player's own and not the score's.
func (h *Hand) inRoll(n hands.Need) bool {
	a, b := h.Plucks[n.From][0], h.Plucks[n.To][0]
	return a.Rolled && b.Rolled && a.Bar == b.Bar && a.Onset == b.Onset
}

func (p *Part) tightFinding(h *Hand, o overload, load float64) Finding {
	n := o.need
	f := p.strokeFinding(tightName, h, n.From, n.To)
	f.Severity = p.speedSeverity(f.Severity)
	f.Speed = p.speed(h, n.From, load)
	at := h.Plucks[n.From][0]
	beat := p.Timeline.BeatAt(at.Bar, at.Onset)
	f.Message = fmt.Sprintf("%s at the tightest place: from %s to %s the %s has %s. Comfortable up to %s, holds up to %s.",
		spareWords(1-load), quoted(p.strokeName(h.Plucks[n.From])), quoted(p.strokeName(h.Plucks[n.To])), h.Name, seconds(n.Have),
		TempoWords(f.Speed.ComfortableUpTo, beat), TempoWords(f.Speed.HoldsUpTo, beat))
	return f
}

// spareWords says how much of the time is left.
func spareWords(spare float64) string {
	if spare < 0.005 {
		return "It just holds, with nothing to spare"
	}
	return fmt.Sprintf("It holds, with %.0f %% to spare", 100*spare)
}
