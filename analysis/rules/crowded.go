package rules

import (
	"fmt"
	"slices"
)

const crowdedName = "feet/crowded"

// Crowded finds bars with more pedal moves than a player would want.
var Crowded = Rule{
	Name:  crowdedName,
	Title: "many pedal moves in one bar",
	Doc: `Pedal moves can be made in time and still be too many: each has to be remembered, and quick chromatic writing
makes the feet heard.

Fails: five moves in a bar. Passes: one or two.

What to do: respell, so that fewer pedals move, or leave the chromatic notes to another instrument.

Where the facts come from: fast chromatic progressions cause foot noise (Philharmonia Orchestra, instrument
guide: Harp; read). The number of moves is common practice, no source.`,
	Whole: checkCrowded,
}

// crowdedMoves is from how many moves in a bar a hint is given. Common practice,
// no source.
const crowdedMoves = 5

// isCheaper says whether a bar lies in a passage that another spelling makes easier: that
// is the cause then.
func (d *Pedals) isCheaper(bar int) bool {
	return slices.ContainsFunc(d.Cheaper, func(r Respelling) bool { return r.First <= bar && bar <= r.Last })
}

func checkCrowded(p *Part) (out []Finding) {
	if p.Pedals == nil {
		return nil
	}
	first := map[int]int{}
	counts := map[int]int{}
	moves := p.Pedals.Plan.Moves
	for i, m := range moves {
		if !p.OnPage(m) {
			continue
		}
		bar, _ := p.Pedals.Place(m.Demand)
		if counts[bar] == 0 {
			first[bar] = i
		}
		counts[bar]++
	}
	for i, m := range moves {
		bar, _ := p.Pedals.Place(m.Demand)
		if first[bar] != i || counts[bar] < crowdedMoves || p.Pedals.isCheaper(bar) {
			continue
		}
		f := p.pedalFinding(crowdedName, m)
		f.Related = nil
		f.Message = fmt.Sprintf("Bar %d asks for %d pedal moves; one or two a bar are usual.", bar, counts[bar])
		f.Advice = "Respell, so that fewer pedals move, or leave the chromatic notes to another instrument."
		out = append(out, f)
	}
	return out
}
