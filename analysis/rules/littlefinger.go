package rules

import (
	"fmt"

	"fourfold/parser/score"
)

const littleFingerName = "hands/little-finger"

// LittleFinger finds a printed 5.
var LittleFinger = Rule{
	Name:  littleFingerName,
	Title: "a printed 5: the little finger does not play",
	Doc: `Harp fingering counts from 1, the thumb, to 4, the ring finger. The little finger is too short to reach the
strings and is not used, so a 5 over a note comes from the piano.

Fails: !5!C. Passes: !4!C.

What to do: take the number off, or write 1 to 4.

Where the fact comes from: four fingers a hand, the little finger never (a composers' handout on the pedal harp;
the Harp Legacy Project; Rimsky-Korsakov, Principles of Orchestration, 1913; read).`,
	Check: checkLittleFinger,
}

func checkLittleFinger(p *Part) (out []Finding) {
	p.eachMarked(func(ev eventAt) {
		for g := range ev.Graces {
			grace := ev
			grace.Event = &ev.Graces[g]
			out = append(out, p.littleFingers(grace)...)
		}
		out = append(out, p.littleFingers(ev)...)
	})
	return out
}

// littleFingers finds the fives over an event and inside its chord.
func (p *Part) littleFingers(ev eventAt) (out []Finding) {
	plucks := ev.plucks()
	out = p.fives(ev, ev.Marks, p.strokeName(plucks))
	for n := range ev.Notes {
		out = append(out, p.fives(ev, ev.Notes[n].Marks, p.Typed(plucks[n]))...)
	}
	return out
}

func (p *Part) fives(ev eventAt, marks []score.Mark, over string) (out []Finding) {
	for _, m := range marks {
		if m.Kind != score.Decoration || m.Text != "5" {
			continue
		}
		f := p.eventFinding(littleFingerName, ev)
		f.Span = m.Span.Shift(ev.start)
		f.Message = fmt.Sprintf("A 5 stands over %s: harpists do not play with the little finger; the fingers are 1, the thumb, to 4.", quoted(over))
		f.Advice = "Take the number off, or write 1 to 4."
		f.Certain = []score.TextFix{{Title: "Take the printed 5 off", Edits: []score.Edit{{Span: f.Span}}}}
		out = append(out, f)
	}
	return out
}
