package rules

import (
	"fmt"
	"math/bits"
	"slices"
	"strconv"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

const printedFingerName = "hands/printed-finger"

// PrintedFinger finds printed fingers that cannot be taken.
var PrintedFinger = Rule{
	Name:  printedFingerName,
	Title: "a printed finger cannot be taken",
	Doc: `A number from !1! (the thumb) to !4! over a note is taken as written wherever a hand can. It cannot where it
asks for a higher string on a higher number (in both hands the thumb lies highest), for one finger on two strings,
for fingers wider apart than they reach, or where keeping it leaves no time and another finger has some.

A number inside a chord belongs to the note after it. Numbers before a chord go to its notes from the highest down,
the smallest first: !1!!2!!4![ceg] puts the thumb on g.

Fails: [!1!C!4!c], the thumb below the ring finger. Passes: [!4!C!1!c].

What to do: take the number off, and the player finds a finger; or print the one that fits.

Where the facts come from: fingers 1 to 4, the thumb on the highest string of a group in both hands (a web essay on
placing; read). The spans and times are those of the model, common practice, no source.`,
	Check: checkPrintedFinger,
}

func checkPrintedFinger(p *Part) (out []Finding) {
	p.eachMarked(func(ev eventAt) {
		for _, f := range hands.PrintedFingers(ev.Event) {
			if f.Note < 0 {
				out = append(out, p.sparePrinted(ev, f))
			}
		}
	})
	for _, h := range p.Played {
		if h == nil || !h.anyPrinted() {
			continue
		}
		c := printedCheck{Part: p, hand: h}
		for k := range h.Solution.Placings {
			out = append(out, c.placing(k)...)
		}
	}
	return out
}

// anyPrinted says whether a finger is printed for any of the hand's notes.
func (h *Hand) anyPrinted() bool {
	for _, s := range h.Strokes {
		if s.Printed != nil {
			return true
		}
	}
	return false
}

func (p *Part) sparePrinted(ev eventAt, printed hands.PrintedFinger) Finding {
	f := p.eventFinding(printedFingerName, ev)
	f.Span = printed.Mark.Span.Shift(ev.start)
	f.Message = fmt.Sprintf("A %d stands over %s, which has a finger for each note already.", printed.Finger, quoted(p.strokeName(ev.plucks())))
	f.Advice = "Take the number off: one finger plucks one note."
	f.Certain = []score.TextFix{{Title: fmt.Sprintf("Take the printed %d off", printed.Finger), Edits: []score.Edit{{Span: f.Span}}}}
	return f
}

// printedCheck compares a hand's fingers with the printed ones.
type printedCheck struct {
	*Part
	hand       *Hand
	kept, free *Hand // the same strokes with every printed finger kept at any price, and with none
}

// placing finds what is printed and not taken in one placing, or taken with no time
// where another finger has some.
func (c *printedCheck) placing(k int) (out []Finding) {
	pl := c.hand.Solution.Placings[k]
	late := c.costsTime(k)
	for i := pl.From; i <= pl.To; i++ {
		s, fingers := c.hand.Strokes[i], pl.Fingers[i-pl.From]
		var wrong []int
		for j, printed := range s.Printed {
			if printed > 0 && fingers[j] > 0 && fingers[j] != printed {
				wrong = append(wrong, j)
			}
		}
		switch {
		case len(wrong) > 0:
			j := wrong[0]
			why := c.whyNotTogether(i, j)
			if why == "" {
				why = c.whyNoTime(c.keptHand(), i)
			}
			out = append(out, c.finding(i, wrong, fmt.Sprintf("%s; the %s is taken.", why, FingerWords(fingers[j]))))
		case late && s.Printed != nil:
			late = false // once a placing
			j := slices.IndexFunc(s.Printed, func(f int) bool { return f > 0 })
			out = append(out, c.finding(i, []int{j}, c.whyNoTime(c.hand, i)+"; with other fingers there is time."))
		}
	}
	return out
}

// finding is about some strings of a stroke; its place is the number over the first.
func (c *printedCheck) finding(i int, strings []int, why string) Finding {
	pl := c.hand.Plucks[i][strings[0]]
	f := c.Part.finding(printedFingerName, pl)
	f.Severity = c.speedSeverity(f.Severity)
	var off score.TextFix
	var numbers []string
	for _, j := range strings {
		if span, ok := markOf(c.hand.Plucks[i][j]); ok {
			off.Edits = append(off.Edits, score.Edit{Span: span})
			numbers = append(numbers, strconv.Itoa(c.hand.Plucks[i][j].Finger))
		}
	}
	if len(off.Edits) > 0 {
		f.Span = off.Edits[0].Span
		off.Title = "Take the printed " + list(numbers) + " off"
		f.Certain = []score.TextFix{off}
	}
	f.Message = fmt.Sprintf("The %s cannot take %s (%s) with the printed %d: %s", c.hand.Name, quoted(c.Typed(pl)), c.pitch(pl), pl.Finger, why)
	f.Advice = "Take the number off, or print the finger that fits."
	return f
}

// markOf is where a pluck's finger is printed.
func markOf(pl hands.Pluck) (score.Span, bool) {
	for _, m := range hands.PrintedFingers(pl.Event) {
		if m.Note >= 0 && &pl.Event.Notes[m.Note] == pl.Note {
			return m.Mark.Span.Shift(pl.Span.Start - pl.Note.Span.Start), true
		}
	}
	return score.Span{}, false
}

// whyNotTogether says why a printed finger of a chord goes with none of its fingerings;
// "" where it does.
func (c *printedCheck) whyNotTogether(i, j int) string {
	s := c.hand.Strokes[i]
	n := len(s.Strings)
	for other, f := range s.Printed {
		name := ""
		if f > 0 && other != j {
			name = quoted(c.Typed(c.hand.Plucks[i][other]))
		}
		switch {
		case f == 0 || other == j:
		case f == s.Printed[j]:
			return fmt.Sprintf("%s has the same finger, and one finger plucks one string", name)
		case (f < s.Printed[j]) != (other > j):
			return fmt.Sprintf("%s has the %d, and in both hands the higher string takes the lower number", name, f)
		}
	}
	if above := n - 1 - j; above > s.Printed[j]-1 {
		return fmt.Sprintf("the chord has %s above it and needs as many lower numbers", count(above, "note"))
	}
	if j > 4-s.Printed[j] {
		return fmt.Sprintf("the chord has %s below it and needs as many higher numbers", count(j, "note"))
	}
	if !c.reaches(s) {
		return "in this chord the printed fingers do not reach so far"
	}
	return ""
}

// reaches says whether some fingering of a stroke by itself has all printed fingers and
// lies within reach.
func (c *printedCheck) reaches(s hands.Stroke) bool {
	for used := 1; used < 1<<4; used++ {
		if bits.OnesCount(uint(used)) == len(s.Strings) && c.fits(s, fingersOf(used)) {
			return true
		}
	}
	return false
}

// fingersOf lists a set of fingers, bit f-1 for finger f, from the lowest string up.
func fingersOf(used int) (out []int) {
	for f := 4; f >= 1; f-- {
		if used>>(f-1)&1 != 0 {
			out = append(out, f)
		}
	}
	return out
}

func (c *printedCheck) fits(s hands.Stroke, fingers []int) bool {
	hand := c.Settings.Hand
	if !hand.Outer.Fits(s.Strings[len(s.Strings)-1] - s.Strings[0]) {
		return false
	}
	for j, f := range fingers {
		if s.Printed[j] > 0 && s.Printed[j] != f {
			return false
		}
		if j > 0 && !hand.Spans[f][fingers[j-1]].Fits(s.Strings[j]-s.Strings[j-1]) {
			return false
		}
	}
	return true
}

// whyNoTime names the need for which a stroke of the fingering has no time.
func (c *printedCheck) whyNoTime(h *Hand, i int) string {
	var worst hands.Need
	for _, u := range h.unitsOf(i) {
		if n, ok := binding(h.needsOf(u)); ok && n.Load > worst.Load {
			worst = n
		}
	}
	if worst.Load <= 1+tolerance {
		return "it fits none of the groups in which these notes can be set"
	}
	at := h.Plucks[worst.From][0]
	tempo := c.Timeline.QuartersAt(at.Bar, at.Onset)
	need, have := twoTimes(worst.Seconds, worst.Have)
	return fmt.Sprintf("so the hand needs %s from %s to %s and has %s, which holds up to %s",
		need, quoted(c.strokeName(h.Plucks[worst.From])), quoted(c.strokeName(h.Plucks[worst.To])), have,
		TempoWords(tempo/worst.Load, c.Timeline.BeatAt(at.Bar, at.Onset)))
}

// unitsOf are the placing of a stroke, the change to it and the change from it.
func (h *Hand) unitsOf(stroke int) (out []int) {
	k := h.placingOf(stroke)
	for _, u := range []int{2*k - 1, 2 * k, 2*k + 1} {
		if u >= 0 && (u+1)/2 < len(h.Solution.Placings) {
			out = append(out, u)
		}
	}
	return out
}

// costsTime says whether a placing or the way to it has no time as printed, and would
// have if no finger were printed; places that no fingering plays are findings of their
// own.
func (c *printedCheck) costsTime(k int) bool {
	for _, u := range []int{2*k - 1, 2 * k} {
		if u < 0 || c.hand.loadOf(u) <= 1+tolerance {
			continue
		}
		for _, r := range c.hand.runs {
			if r.from <= k && k <= r.to {
				return false
			}
		}
		pl := c.hand.Solution.Placings[k]
		around := window{c.hand.Strokes[pl.From].T - c.Settings.Hand.Afresh, c.hand.Strokes[pl.To].T + c.Settings.Hand.Afresh}
		return !c.freeHand().busierThan(1, around)
	}
	return false
}

// mostPrice is a price for a printed finger that is not taken which outweighs any time.
const mostPrice = 1e5

func (c *printedCheck) keptHand() *Hand {
	if c.kept == nil {
		c.kept = c.priced(mostPrice)
	}
	return c.kept
}

func (c *printedCheck) freeHand() *Hand {
	if c.free == nil {
		c.free = c.priced(0)
	}
	return c.free
}

// priced fingers the hand at another price for a printed finger that is not taken.
func (c *printedCheck) priced(price float64) *Hand {
	profile := c.Settings.Hand
	profile.Unprinted = price
	h := *c.hand
	h.Solution = hands.Solve(h.Strokes, profile)
	return &h
}
