package rules

import (
	"fmt"
	"regexp"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

const bisbigliandoName = "hands/bisbigliando"

// Bisbigliando finds the whispering tremolo where the music is loud.
var Bisbigliando = Rule{
	Name:  bisbigliandoName,
	Title: "bisbigliando is soft by nature",
	Doc: `Bisbigliando, "whispering", is a quick soft murmur of both hands over the same few strings. There is no
time for a strong pluck, so it does not exist in forte.

Fails: "^bisbigl." under !ff!. Passes: the same under !pp!.

What to do: mark it pp to p, or write a tremolo between two chords.

Where the fact comes from: a series of orchestration tips (no. 75) and Piston, Orchestration (1955), quoted
there; read.`,
	Whole: checkBisbigliando,
}

var bisbigliandoWords = regexp.MustCompile(`(?i)\bbisb`)

// loud are the dynamics from which a whisper is lost.
var loud = map[string]bool{"mf": true, "f": true, "ff": true, "fff": true, "ffff": true, "sfz": true}

var dynamics = map[string]bool{"pppp": true, "ppp": true, "pp": true, "p": true, "mp": true, "mf": true, "f": true, "ff": true,
	"fff": true, "ffff": true, "sfz": true}

func checkBisbigliando(p *Part) (out []Finding) {
	p.eachMarked(func(ev eventAt) {
		if !hands.HasWords(ev.Event, bisbigliandoWords) {
			return
		}
		if d := p.dynamicAt(ev.bar, ev.Onset); loud[d] {
			f := p.eventFinding(bisbigliandoName, ev)
			f.Message = fmt.Sprintf("Bisbigliando stands under %s here; the whisper of quick light plucks exists only from pp to p.", d)
			f.Advice = "Mark it pp to p, or write a tremolo between two chords."
			out = append(out, f)
		}
	})
	return out
}

// dynamicAt is the last dynamic that any of the player's voices has at a place or
// before it; "" where there is none.
func (p *Part) dynamicAt(bar int, onset score.Frac) string {
	for number := bar; ; number-- {
		found, at, more := "", score.Zero, false
		for _, v := range p.Player.Voices() {
			b := v.Bar(number)
			if b == nil {
				more = more || number > v.Number(v.Len()-1) // a voice that ends before
				continue
			}
			more = true
			events := b.Events()
			for e := range events {
				ev := &events[e]
				if number == bar && onset.Less(ev.Onset) || found != "" && ev.Onset.Less(at) {
					continue
				}
				for _, m := range ev.Marks {
					if m.Kind == score.Decoration && dynamics[m.Text] {
						found, at = m.Text, ev.Onset
					}
				}
			}
		}
		switch {
		case found != "":
			return found
		case more:
		case p.around != nil:
			return p.around.dynamic
		default:
			return ""
		}
	}
}
