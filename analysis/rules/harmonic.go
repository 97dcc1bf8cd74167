package rules

import (
	"fmt"
	"slices"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

const harmonicName = "hands/harmonic"

// Harmonic finds harmonics that a hand cannot make.
var Harmonic = Rule{
	Name:  harmonicName,
	Title: "a harmonic out of its range, or too many at once",
	Doc: `A harmonic is touched in the middle of the string and sounds an octave above the string that is
written. The right hand makes one at a time; the left hand, lying flat on the strings, makes up to three
close together. Very short and very long strings do not speak.

Fails: !open![CE] in the right hand; a harmonic on C7. Passes: !open!G in either hand.

Near the soundboard (p.d.l.t.) there is no harmonic: the string has to be touched in its middle.

What to do: move it into the range (C3 to A5 for a single one), give it to the left hand, or write fewer
at once.

Where the numbers come from: ranges of left-hand harmonics from a series of orchestration tips (no. 68,
read) and a harp notation manual (read): single C3 to A5, two at once C3 to G4 (seconds and thirds up to
C5), three C3 to E4 within six strings; right hand one. That the range of a single one holds for the right
hand too is common practice, no source.`,
	Check: checkHarmonic,
}

// The strings on which harmonics speak, by how many are made at once.
const (
	c3 = 21
	e4 = 30
	g4 = 32
	c5 = 35
	a5 = 40
)

func checkHarmonic(p *Part) (out []Finding) {
	type instant struct {
		hand *Hand
		t    float64
	}
	together := map[instant][]int{} // the harmonics of one hand at one instant, in any voice
	last := map[instant]eventAt{}   // the last event with one
	p.eachMarked(func(ev eventAt) {
		if strs := harmonicsOf(ev.Event); len(strs) > 0 {
			at := instant{ev.hand, ev.t}
			together[at] = append(together[at], strs...)
			last[at] = ev
		}
	})
	p.eachMarked(func(ev eventAt) {
		at := instant{ev.hand, ev.t}
		strs := together[at]
		if len(strs) == 0 || last[at].Event != ev.Event {
			return
		}
		slices.Sort(strs)
		why := whyNoHarmonic(strs, ev.hand == p.Right)
		nearSoundboard := why == "" && hands.NearSoundboard(ev.Event)
		if nearSoundboard {
			why = "the string is touched in its middle, and cannot be plucked near the soundboard as well"
		}
		if why == "" {
			return
		}
		f := p.eventFinding(harmonicName, ev)
		what := "a harmonic"
		if len(strs) > 1 {
			what = count(len(strs), "harmonic")
		}
		f.Message = fmt.Sprintf("%s as %s for the %s: %s.", quoted(p.strokeName(ev.plucks())), what, ev.hand.Name, why)
		f.Advice = harmonicAdvice(ev.hand == p.Right, nearSoundboard)
		out = append(out, f)
	})
	return out
}

// harmonicsOf lists the strings touched as harmonics, from the lowest up.
func harmonicsOf(ev *score.Event) (strs []int) {
	all := hands.HasMark(ev, "open")
	for _, n := range ev.Notes {
		if n.TieFrom {
			continue
		}
		if all || hands.HasMark(&score.Event{Marks: n.Marks}, "open") {
			strs = append(strs, n.String)
		}
	}
	slices.Sort(strs)
	return strs
}

// harmonicAdvice says what helps: the left hand only where it is not that one's already.
func harmonicAdvice(right, nearSoundboard bool) string {
	switch {
	case nearSoundboard:
		return "Write it as a harmonic, or near the soundboard, not both."
	case right:
		return "Move it into the range, give it to the left hand, or write fewer at once."
	}
	return "Move it into the range, or write fewer at once."
}

func whyNoHarmonic(strs []int, right bool) string {
	low, high := strs[0], strs[len(strs)-1]
	switch {
	case right && len(strs) > 1:
		return "the right hand makes one at a time"
	case len(strs) > 3:
		return "the left hand makes three at most"
	case low < c3:
		return "below C3 the strings hardly speak"
	case len(strs) == 1 && high > a5:
		return "above A5 the strings are too short"
	case len(strs) == 2 && high > g4 && (high-low > 2 || high > c5):
		return "two at once speak up to G4, seconds and thirds up to C5"
	case len(strs) == 3 && high > e4:
		return "three at once speak up to E4"
	case len(strs) == 3 && high-low > 5:
		return "three at once lie within six strings"
	}
	return ""
}
