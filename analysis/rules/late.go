package rules

import (
	"fmt"

	"fourfold/analysis/feet"
)

const lateName = "feet/late"

// Late finds pedals that cannot be moved in time.
var Late = Rule{
	Name:  lateName,
	Title: "a foot cannot get there in time",
	Doc: `A pedal may move after the last note that needs its old position and must stand before the first that
needs the new one. A move of one notch keeps the foot about half a second, one of two notches about 0.65 s,
and a foot makes one move at a time: D, C and B are the left foot's, E, F, G and A the right foot's.

Fails: c^cd^d in quavers at ♩ = 120. Passes: the same at ♩ = 50; c^c with a bar between.

A move that a hurried foot still makes (0.25 s a notch, 0.40 s two) is a hint; one that even then comes late is
a warning.

What to do: respell one of the notes, leave more time between them, or take it slower.

Where the numbers come from: about two pedal changes a second a foot (a composers' handout on the pedal harp;
read); the times of the moves are fitted to it, common practice, no source.`,
	Whole: func(p *Part) (out []Finding) {
		if p.Pedals == nil {
			return nil
		}
		for _, m := range p.Pedals.Plan.Moves {
			if m.Late > tolerance && len(m.SameFoot) == 0 && p.OnPage(m) {
				out = append(out, p.lateFinding(m))
			}
		}
		return append(out, p.lateSeams()...)
	},
}

func (p *Part) lateFinding(m feet.Move) Finding {
	f := p.pedalFinding(lateName, m)
	to := p.Pedals.Note(m.Demand)
	if m.Hurried && f.Severity != Off {
		f.Severity = Hint
	}
	graces := p.withinGraces(m)
	if !graces {
		f.Speed = p.pedalSpeed(m, to)
	}
	how := "comes"
	if m.Hurried {
		how = "has to hurry: at a steady pace it comes"
	}
	f.Message = fmt.Sprintf("For %s the %s foot %s %s late with %s; it has %s between the notes.",
		p.needWords(to, m.Letter), m.Foot, how, seconds(m.Late), moveWords(m), seconds(max(0, m.Deadline-m.Release)))
	if f.Speed != nil {
		f.Message += fmt.Sprintf(" In time up to %s.", TempoWords(f.Speed.HoldsUpTo, p.Timeline.BeatAt(to.Bar, to.Onset)))
	}
	f.Advice = "Respell one of the notes, leave more time between them, or take it slower."
	if graces {
		f.Message += fmt.Sprintf(" The grace notes are counted at %s each, at any tempo; the player may give them more.", seconds(p.Settings.Hand.Grace))
		f.Advice = "Respell one of the notes, or leave out a grace note."
	}
	return f
}

// withinGraces says whether a pedal has only the time of grace notes, which no tempo
// makes longer: the note that still needs its old position leads to the same main note
// as the one that needs the new.
func (p *Part) withinGraces(m feet.Move) bool {
	from, ok := p.Pedals.lastUse(m)
	to := p.Pedals.Note(m.Demand)
	return ok && from.Grace && from.Bar == to.Bar && from.Onset == to.Onset
}
