package rules

import (
	"fmt"

	"fourfold/analysis/feet"
)

const sameFootName = "feet/same-foot"

// SameFoot finds two pedals of one foot that are asked for at one instant.
var SameFoot = Rule{
	Name:  sameFootName,
	Title: "two pedals of one foot at once",
	Doc: `Each foot moves one pedal at a time. D, C and B lie under the left foot, E, F, G and A under the right. One
pedal for each foot together is ordinary. Two of one foot are awkward when they lie side by side, and cannot
be done when another lies between.

Fails: a chord that needs D♯ and C♯ new at once with no time before it. Passes: C♯ and G♯, one for each foot.

What to do: prepare one of them earlier (leave out the note that keeps its pedal back), or respell one note.

Where the facts come from: one pedal for each foot (a harp notation dissertation of the Sibelius Academy; a
composers' handout; read); neighbours together (a forum of harpists; read).`,
	Whole: checkSameFoot,
}

func checkSameFoot(p *Part) (out []Finding) {
	if p.Pedals == nil {
		return nil
	}
	said := map[int]bool{}
	for i, m := range p.Pedals.Plan.Moves {
		if m.Late <= tolerance || len(m.SameFoot) == 0 || said[i] || !p.OnPage(m) {
			continue
		}
		for _, j := range m.SameFoot {
			said[j] = true
		}
		out = append(out, p.sameFootFinding(m, p.Pedals.Plan.Moves[m.SameFoot[0]]))
	}
	return out
}

func (p *Part) sameFootFinding(m, other feet.Move) Finding {
	f := p.pedalFinding(sameFootName, m)
	last := m // the one that comes later
	for _, j := range m.SameFoot {
		if n := p.Pedals.Plan.Moves[j]; n.Late > last.Late {
			last = n
		}
	}
	if last.Hurried && f.Severity != Off {
		f.Severity = Hint
	}
	to := p.Pedals.Note(m.Demand)
	f.Speed = p.pedalSpeed(m, to)
	side := "they are not side by side, so one foot cannot take both"
	if feet.Adjacent(m.Letter, other.Letter) {
		side = "they lie side by side: some players take both with one foot, awkwardly"
	}
	f.Message = fmt.Sprintf("`%s` (%s) needs %s and %s at once, both under the %s foot: %s; one after the other, the last comes %s late.",
		p.Typed(*to.Pluck), p.pitch(*to.Pluck), moveWords(m), moveWords(other), m.Foot, side, seconds(last.Late))
	if f.Speed != nil {
		f.Message += fmt.Sprintf(" In time up to %s.", TempoWords(f.Speed.HoldsUpTo, p.Timeline.BeatAt(to.Bar, to.Onset)))
	}
	f.Advice = "Prepare one of them earlier, or respell one note."
	return f
}
