package rules

import (
	"fmt"

	"fourfold/analysis/hands"
)

const trillName = "hands/trill"

// Trill finds trills that one hand has to keep alone.
var Trill = Rule{
	Name:  trillName,
	Title: "one hand cannot keep a fast trill",
	Doc: `On the harp a trill is two strings plucked in turn, and every pluck needs a finger set anew. Harpists
share a trill between the hands; one hand alone keeps only a slow one, and tires soon.

Fails: a long !trill! in the right hand while the left hand plays. Passes: the same while the left hand
rests, or has only a bass note as the trill begins and joins in after it.

What to do: let the other hand rest during the trill, shorten it, or write out a slower turn.

Practise trills in short spells; stop at pain; the player and their teacher decide.

Where the numbers come from: two hands in turn are the usual way, one-hand fingerings tire (advice pages
for harpists; read); the rates are those of the model, common practice, no source.`,
	Check: checkTrill,
}

func checkTrill(p *Part) (out []Finding) {
	p.eachMarked(func(ev eventAt) {
		if !hands.HasMark(ev.Event, "trill") && !hands.HasMark(ev.Event, "trill(") {
			return
		}
		length := ev.until - ev.t
		if length < p.Settings.Hand.LongTrill || !ev.other.isBound(ev.t, ev.until, p.Settings.Hand.LongTrill) {
			return
		}
		str := ev.Notes[len(ev.Notes)-1].String
		best := p.alternation(str, str+1)
		f := p.eventFinding(trillName, ev)
		f.Message = fmt.Sprintf("This trill lasts %s and the other hand plays meanwhile: the %s alone keeps %.1f notes a second comfortably and %.1f at most; both hands in turn would reach %.1f.",
			seconds(length), ev.hand.Name, p.Settings.Hand.Comfortable*best, best, p.alternationOfTwo(str, str+1))
		f.Advice = "Let the other hand rest during the trill, shorten it, or write out a slower turn."
		out = append(out, f)
	})
	return out
}

// alternation is how many notes a second one hand keeps at most on two strings in
// turn.
func (p *Part) alternation(a, b int) float64 {
	const notes, gap = 16, 0.1
	var strokes []hands.Stroke
	for i := range notes {
		strokes = append(strokes, hands.Stroke{T: float64(i) * gap, Strings: []int{[2]int{a, b}[i%2]}})
	}
	return 1 / (gap * hands.Ceiling(strokes, p.Settings.Hand))
}

// alternationOfTwo is the same for two hands, each on its own string.
func (p *Part) alternationOfTwo(a, _ int) float64 {
	const notes, gap = 16, 0.2
	var strokes []hands.Stroke
	for i := range notes {
		strokes = append(strokes, hands.Stroke{T: float64(i) * gap, Strings: []int{a}})
	}
	return 2 / (gap * hands.Ceiling(strokes, p.Settings.Hand))
}
