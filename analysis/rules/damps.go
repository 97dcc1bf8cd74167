package rules

import (
	"fmt"
	"sort"

	"fourfold/analysis/hands"
)

const dampsName = "hands/damps"

// Damps finds fingers that are set on a string which is meant to ring on.
var Damps = Rule{
	Name:  dampsName,
	Title: "setting the next group stops a note that should ring",
	Doc: `The fingers are set on the strings of a group before its first note. A string of the group that still
rings from before falls silent at that moment, and not when it is plucked again.

A note is meant to ring for its written length; under l.v. as long as the string does, and under étouffé not at all.

Fails: c4 held while cegc' is set under it. Passes: the group without that string.

What to do: nothing, where the sound is meant to change; else leave the ringing string out of the group.

This rule is off by default. Where the fact comes from: replacing on a ringing string damps it (a series
of orchestration tips; a harp notation dissertation of the Sibelius Academy; read).`,
	Whole:    checkDamps,
	Fingered: true,
}

func checkDamps(p *Part) (out []Finding) {
	for _, h := range p.Hands() {
		last := map[int]dampable{} // by string
		for _, pl := range h.Solution.Placings {
			set := h.Strokes[pl.From].T
			for i := pl.From + 1; i <= pl.To; i++ {
				for _, pluck := range h.Plucks[i] {
					before, again := last[pluck.Note.String]
					if !again || h.Strokes[i].T-set <= p.Settings.Hand.DampsBy {
						continue
					}
					if lost := min(before.t+p.meantToRing(*before.pluck), h.Strokes[i].T) - set; lost > p.Settings.Hand.DampsBy {
						f := p.strokeFinding(dampsName, h, i, i)
						f.Message = fmt.Sprintf("Setting `%s` (%s) with the group before it stops its sound %s before it is plucked again.",
							p.Typed(pluck), p.pitch(pluck), seconds(lost))
						out = append(out, f)
					}
				}
			}
			for i := pl.From; i <= pl.To; i++ {
				for k := range h.Plucks[i] {
					last[h.Plucks[i][k].Note.String] = dampable{&h.Plucks[i][k], h.Strokes[i].T}
				}
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Span.Start < out[j].Span.Start })
	return out
}

// dampable is the last pluck of a string, and when.
type dampable struct {
	pluck *hands.Pluck
	t     float64
}

// meantToRing is how long a note is to sound, in seconds.
func (p *Part) meantToRing(pl hands.Pluck) float64 {
	switch {
	case hands.Muffled(pl.Event):
		return 0
	case hands.LetRing(pl.Event):
		return p.Settings.Instrument.Ring(pl.Note.String)
	}
	return p.Timeline.Between(pl.Bar, pl.Onset, pl.Bar, pl.Onset.Add(pl.Note.Joined))
}
