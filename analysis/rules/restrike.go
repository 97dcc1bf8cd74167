package rules

import "fmt"

const restrikeName = "hands/restrike"

// Restrike finds strings that are asked for again too soon.
var Restrike = Rule{
	Name:  restrikeName,
	Title: "one string again before it can be placed",
	Doc: `A finger has to come back onto a string before it can pluck it again: pluck, close, find the
string, press. That takes about 0.18 s on one string at the very best, and touching the string stops
its sound. A fast repeated note therefore neither holds nor rings.

Fails: cccc in sixteenths at ♩ = 120. Passes: the same in eighths; ^Bc^Bc, which sounds alike on two
strings.

A string that comes back with another note between wants 0.24 s; where it has at least 0.18 s it is a hint, and so
is a single quick return that has at least 0.15 s, because good harp parts ask for such things now and then.

What to do: repeat more slowly, write the note on two neighbouring strings that sound alike (B♯ and
C), share it between the hands, or change the figure.

Where the numbers come from: a remedy on two strings at trill speed is described in a harpist's essay
on enharmonics (read); the times are common practice, no source.`,
	Check: func(p *Part) []Finding { return p.overloads(restrike, restrikeName) },
	Whole: func(p *Part) []Finding { return p.seamFindings(restrike, restrikeName) },
}

// nowAndThen says whether the music asks for a return to a string that real harp
// parts ask for as well: one with another note between and time enough for a
// string by itself, or a single quick one. Where all that is asked there holds only
// below half the tempo, as a leap to a chord may, the return is not what is hard.
func (p *Part) nowAndThen(r run) bool {
	const mostLoad = 2
	have := r.worst().need.Have
	return r.load <= mostLoad &&
		(have >= p.Settings.Hand.SameNext-tolerance || len(r.overload) == 1 && have >= p.Settings.Hand.HurriedReturn-tolerance)
}

func (p *Part) restrikeMessage(h *Hand, r run) string {
	n := r.worst().need
	need, have := twoTimes(n.Seconds, n.Have)
	i := indexOf(h.Strokes[n.To].Strings, n.ToString)
	pl := h.Plucks[n.To][max(i, 0)]
	return fmt.Sprintf("`%s` (%s) comes again before the %s can set a finger on its string: it needs %s, and has %s.",
		p.Typed(pl), p.pitch(pl), h.Name, need, have)
}

func indexOf(strs []int, s int) int {
	for i, x := range strs {
		if x == s {
			return i
		}
	}
	return -1
}
