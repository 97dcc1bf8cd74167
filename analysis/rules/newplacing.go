package rules

import "fmt"

const newPlacingName = "hands/new-placing"

// NewPlacing finds groups that follow each other too fast for the hand to set
// the next one.
var NewPlacing = Rule{
	Name:  newPlacingName,
	Title: "no time to set the next group of strings",
	Doc: `The fingers are set on up to four strings before the first of them is plucked; then the hand
moves on and sets the next group. Each new group costs time, more for a leap. Where notes follow each
other faster than the hand can set groups, one hand cannot keep up.

Fails: sixteenth notes leaping over two octaves in one hand at ♩ = 120. Passes: the same notes shared
between two hands, four and four.

What to do: let the hands alternate by groups, keep a group within an octave, or take it slower.

Where the numbers come from: planning in groups that are placed together, and scales shared between the
hands, are described in teaching essays (read); the times are common practice, no source.`,
	Check: func(p *Part) []Finding { return p.overloads(newPlacing, newPlacingName) },
	Whole: func(p *Part) []Finding { return p.seamFindings(newPlacing, newPlacingName) },
}

func (p *Part) newPlacingMessage(h *Hand, r run) string {
	n := r.worst().need
	need, have := twoTimes(n.Seconds, n.Have)
	from, to := h.Plucks[n.From], h.Plucks[n.To]
	if r.worst().unit%2 == 0 {
		return fmt.Sprintf("%s to %s comes too fast for one hand: the %s needs %s from note to note, and has %s.",
			quoted(p.strokeName(from)), quoted(p.strokeName(to)), h.Name, need, have)
	}
	who := h.Name
	if n.Finger > 0 {
		who = h.Name + "'s " + FingerWords(n.Finger)
	}
	return fmt.Sprintf("No time to set the next group: from %s%s to %s%s the %s needs %s, and has %s.",
		quoted(p.strokeName(from)), p.pitchAside(from), quoted(p.strokeName(to)), p.pitchAside(to), who, need, have)
}
