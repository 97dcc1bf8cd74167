package rules

import (
	"fmt"
	"strings"
)

const whileRingingName = "feet/while-ringing"

// WhileRinging finds moves of a pedal while a string of its letter still sounds.
var WhileRinging = Rule{
	Name:  whileRingingName,
	Title: "the pedal moves while its string rings: the slide will be heard",
	Doc: `A pedal that moves while a string of its letter rings changes the pitch of that string: a slide, and often a
buzz, is heard.

Fails: c2 and at once ^c2 in another octave. Passes: a beat of rest between, or the string damped first.

What to do: leave time for the string to fade, or respell one note. As an effect it is welcome.

Where the facts come from: the slide is heard, damp first or wait (Philharmonia Orchestra, instrument guide:
Harp; a players' information sheet on pedals; read). How long strings ring is common practice, no source.`,
	Whole: checkWhileRinging,
}

func checkWhileRinging(p *Part) (out []Finding) {
	if p.Pedals == nil {
		return nil
	}
	for _, m := range p.Pedals.Plan.Moves {
		if !m.Rings || m.Late > tolerance || len(m.SameFoot) > 0 || !p.OnPage(m) || p.Pedals.isCheaper(p.Pedals.Note(m.Demand).Bar) {
			continue
		}
		f := p.pedalFinding(whileRingingName, m)
		to := p.Pedals.Note(m.Demand)
		f.Message = fmt.Sprintf("%s for `%s` (%s) has to be set while %s string still rings: the slide will be heard.",
			moveWords(m), p.Typed(*to.Pluck), p.pitch(*to.Pluck), withArticle(m.Letter.String()))
		f.Advice = "Leave time for the string to fade, damp it, or respell one note."
		out = append(out, f)
	}
	return out
}

// withArticle writes the name of a letter as it is said: "a C", "an F".
func withArticle(letter string) string {
	if strings.Contains("AEF", letter) {
		return "an " + letter
	}
	return "a " + letter
}
