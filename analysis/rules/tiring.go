package rules

import (
	"fmt"

	"fourfold/analysis/hands"
)

const tiringName = "hands/tiring"

// Tiring finds what is playable and tires.
var Tiring = Rule{
	Name:  tiringName,
	Title: "long without rest",
	Doc: `What a hand can play once it may not be able to play for two minutes. Wide stretches in a row,
four-note chords without a pause, and quick playing without a rest tighten the forearm.

Fails: sixteenths at ♩ = 120 in one hand for a whole page. Passes: the same with a bar's rest now and then,
or shared between the hands.

What to do: give each hand a rest of a second or more every few bars, thin the chords, share the figure.

Hands differ. The limits are for a typical adult hand; stop at pain; the player and their teacher decide.

Where the facts come from: a tight forearm in long fast passages is a usual complaint (a magazine for
harpists; read), wide stretches in fast repeated patterns make replacing inaccurate (essays of the Harp
Legacy Project; read). The figures are common practice, no source.`,
	Whole:    checkTiring,
	Fingered: true,
}

func checkTiring(p *Part) (out []Finding) {
	for _, h := range p.Hands() {
		for _, passage := range h.Solution.Passages() {
			from := h.Solution.Placings[passage.From].From
			if p.section != nil && !p.section.holdsRow(h, passage) {
				continue
			}
			r := h.rowOf(passage, p.Settings)
			if why := r.tires(p.Settings); why != "" {
				f := p.strokeFinding(tiringName, h, from, from)
				f.Severity = p.speedSeverity(f.Severity)
				out = append(out, r.tiringFinding(f, why))
			}
		}
	}
	return out
}

// holdsRow says whether a passage begins and ends in a section, and neither is its first
// there nor its last: those may reach beyond it.
func (s Section) holdsRow(h *Hand, passage hands.Passage) bool {
	pls := h.Solution.Placings
	return passage.From > 0 && passage.To+1 < len(pls) && s.has(h, pls[passage.From].From) && s.has(h, pls[passage.To+1].From) &&
		s.has(h, pls[passage.From-1].From)
}

// tires says what is tiring about a row; "" where nothing is.
func (r *row) tires(set Settings) string {
	length := r.seconds
	rate := float64(r.strokes-1) / max(length, 1)
	bars := r.lastBar - r.firstBar + 1
	hand := set.Hand
	switch {
	case length >= 60*hand.TiringQuick && rate >= hand.TiringQuickRate:
		return fmt.Sprintf("%.0f s without a rest of a second, at %.1f strokes a second", length, rate)
	case float64(bars) >= hand.TiringBars && rate >= hand.TiringBarsRate:
		return fmt.Sprintf("%d bars without a rest of a second, at %.1f strokes a second", bars, rate)
	case length >= 60*hand.TiringRestless:
		return fmt.Sprintf("%.0f s without a rest of a second", length)
	case float64(r.chords) >= hand.TiringChords:
		return fmt.Sprintf("%d four-note chords in %.0f s without a rest of a second", r.chords, length)
	case float64(r.wide) >= hand.TiringWide:
		return fmt.Sprintf("%d groups wider than an octave in a row", r.wide)
	}
	return ""
}

// tiringFinding completes a finding on the first note of a row.
func (r *row) tiringFinding(f Finding, why string) Finding {
	f.EndBar = r.lastBar
	f.Message = fmt.Sprintf("The %s plays %s, to bar %d: playable, but it tires. Hands differ: stop at pain; the player and their teacher decide.",
		f.Hand, why, f.EndBar)
	f.Advice = "Give the hand a rest of a second or more now and then, thin the chords, or share the figure."
	return f
}
