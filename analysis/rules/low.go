package rules

import (
	"fmt"
	"slices"

	"fourfold/analysis/hands"
)

const lowName = "hands/low"

// Low finds the right hand far down on the left hand's strings.
var Low = Rule{
	Name:  lowName,
	Title: "far down for the right hand",
	Doc: `The harp leans on the right shoulder, and the right arm goes round its body: the right hand does not reach far
below C3. The lowest strings belong to the left hand.

Fails: [C,,G,,] on the upper staff. Passes: the same on the lower one.

What to do: give the notes to the left hand.

Where the fact comes from: a series of orchestration tips, and a harp notation dissertation of the Sibelius
Academy on the playing position; read. That "not far below" ends at G2 is common practice, no source.`,
	Check: checkLow,
}

// lowestOfRight is G2. Common practice, no source.
const lowestOfRight = 18

func checkLow(p *Part) (out []Finding) {
	if p.Right == nil || p.Player.Lone {
		return nil
	}
	for i, s := range p.Right.Strokes {
		if !p.isLow(s) || i > 0 && p.isLow(p.Right.Strokes[i-1]) {
			continue
		}
		f := p.strokeFinding(lowName, p.Right, i, i)
		f.Message = fmt.Sprintf("%s lies far down for the right hand, which reaches to about C3 (`C,`) with ease and hardly below G2 (`G,,`).",
			quoted(p.strokeName(p.Right.Plucks[i])))
		f.Advice = "Give it to the left hand."
		out = append(out, f)
	}
	return out
}

// isLow says whether a stroke asks for a low string that the harp has: one that it has
// not is another rule's.
func (p *Part) isLow(s hands.Stroke) bool {
	return slices.ContainsFunc(s.Strings, func(str int) bool { return str < lowestOfRight && str >= p.Settings.Instrument.Lowest })
}
