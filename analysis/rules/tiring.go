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
	Whole: checkTiring,
}

func checkTiring(p *Part) (out []Finding) {
	for _, h := range p.Hands() {
		for _, passage := range h.Solution.Passages() {
			if why := h.tires(passage, p.Settings); why != "" {
				pls := h.Solution.Placings
				out = append(out, p.tiringFinding(h, pls[passage.From].From, pls[passage.To].To, why))
			}
		}
	}
	return out
}

// tires says what is tiring about a passage; "" where nothing is.
func (h *Hand) tires(passage hands.Passage, set Settings) string {
	pls := h.Solution.Placings[passage.From : passage.To+1]
	from, to := pls[0].From, pls[len(pls)-1].To
	length := h.Strokes[to].T - h.Strokes[from].T
	chords, wide, row := 0, 0, 0
	for _, pl := range pls {
		row++
		if !h.wide(pl, set) {
			row = 0
		}
		wide = max(wide, row)
	}
	for i := from; i <= to; i++ {
		if len(h.Strokes[i].Strings) == 4 {
			chords++
		}
	}
	rate := float64(to-from) / max(length, 1)
	bars := h.Plucks[to][0].Bar - h.Plucks[from][0].Bar + 1
	hand := set.Hand
	switch {
	case length >= 60*hand.TiringQuick && rate >= hand.TiringQuickRate:
		return fmt.Sprintf("%.0f s without a rest of a second, at %.1f strokes a second", length, rate)
	case float64(bars) >= hand.TiringBars && rate >= hand.TiringBarsRate:
		return fmt.Sprintf("%d bars without a rest of a second, at %.1f strokes a second", bars, rate)
	case length >= 60*hand.TiringRestless:
		return fmt.Sprintf("%.0f s without a rest of a second", length)
	case float64(chords) >= hand.TiringChords:
		return fmt.Sprintf("%d four-note chords in %.0f s without a rest of a second", chords, length)
	case float64(wide) >= hand.TiringWide:
		return fmt.Sprintf("%d groups wider than an octave in a row", wide)
	}
	return ""
}

func (p *Part) tiringFinding(h *Hand, from, to int, why string) Finding {
	f := p.strokeFinding(tiringName, h, from, from)
	f.Severity = p.speedSeverity(f.Severity)
	f.EndBar = h.Plucks[to][0].Bar
	f.Message = fmt.Sprintf("The %s plays %s, to bar %d: playable, but it tires. Hands differ: stop at pain; the player and their teacher decide.",
		h.Name, why, f.EndBar)
	f.Advice = "Give the hand a rest of a second or more now and then, thin the chords, or share the figure."
	return f
}
