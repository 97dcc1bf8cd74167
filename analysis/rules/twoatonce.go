package rules

import (
	"fmt"
	"math/bits"
	"sort"

	"fourfold/analysis/feet"
)

const twoAtOnceName = "feet/two-at-once"

// TwoAtOnce finds one letter that is asked for in two positions at a time.
var TwoAtOnce = Rule{
	Name:  twoAtOnceName,
	Title: "one letter is asked for in two forms at once",
	Doc: `A pedal sets its letter for all octaves together: while C is sharp, every C on the harp is
sharp. So C and C♯ cannot be struck in the same instant, not even in different octaves or hands.

Fails: [C^C], or ^C in the left hand under c in the right. Passes: [C_D], which sounds the same,
because D has a pedal of its own.

What to do: respell one of the two notes on the neighbouring letter.

Where the fact comes from: a players' information sheet on pedals, and Encyclopaedia Britannica, 11th
edition, "Harp"; read.`,
	Check: checkTwoAtOnce,
	Whole: checkGlissandoForms,
}

func checkTwoAtOnce(p *Part) (out []Finding) {
	if !p.Settings.Instrument.Pedals {
		return nil
	}
	p.eachInstant(func(group []pluckAt) {
		if len(group) == 1 {
			return
		}
		var forms [feet.Letters]uint32 // a bit for each alteration
		for _, pl := range group {
			if p.moves(pl) {
				forms[letterOf(pl.Note)] |= 1 << (uint(pl.Note.Alter+16) % 32)
			}
		}
		for l, asked := range forms {
			if bits.OnesCount32(asked) > 1 {
				out = append(out, p.twoForms(l, group))
			}
		}
	})
	return out
}

// moves says whether a pedal moves the note's string: not if it has no discs, or is not
// on the harp.
func (p *Part) moves(pl pluckAt) bool {
	return !p.Settings.Instrument.Fixed(pl.Note.String) && p.Settings.Instrument.Has(pl.Note.String)
}

// checkGlissandoForms looks into the glissandi, whose pedals may have been set long
// before.
func checkGlissandoForms(p *Part) (out []Finding) {
	if p.Pedals == nil {
		return nil
	}
	for _, g := range p.Pedals.Glissandi {
		out = append(out, p.glissandoForms(g)...)
	}
	return out
}

// glissandoForms are the notes that need a pedal to move while the hand sweeps.
func (p *Part) glissandoForms(g Glissando) (out []Finding) {
	for _, c := range g.clashes {
		if c.a.Bar == c.b.Bar && c.a.Onset == c.b.Onset {
			continue // struck together, and said so
		}
		f := p.finding(twoAtOnceName, *c.b.Pluck)
		f.Message = fmt.Sprintf("The pedals stand still for the whole glissando, so `%s` (%s) cannot sound in it beside `%s` (%s).",
			p.Typed(*c.b.Pluck), p.pitch(*c.b.Pluck), p.Typed(*c.a.Pluck), p.pitch(*c.a.Pluck))
		f.Advice = "Write the letter in one form throughout the glissando."
		f.Related = []Related{{Span: c.a.Span, Message: "sets the letter for the glissando"}}
		out = append(out, f)
	}
	return out
}

// twoForms makes the finding on a letter whose plucks in a group differ in alteration.
func (p *Part) twoForms(letter int, group []pluckAt) Finding {
	var plucks []pluckAt
	for _, pl := range group {
		if p.moves(pl) && letterOf(pl.Note) == letter {
			plucks = append(plucks, pl)
		}
	}
	sort.SliceStable(plucks, func(i, j int) bool { return plucks[i].Span.Start < plucks[j].Span.Start })
	first := plucks[0]
	second := first
	for _, pl := range plucks[1:] {
		if pl.Note.Alter != first.Note.Alter {
			second = pl
			break
		}
	}
	f := p.finding(twoAtOnceName, *first.Pluck)
	f.Span = p.hull(*first.Pluck, *second.Pluck)
	f.Message = fmt.Sprintf("`%s` (%s) and `%s` (%s) fall together, and one pedal sets every %c on the harp: it cannot be %s and %s at once.",
		p.Typed(*first.Pluck), p.pitch(*first.Pluck), p.Typed(*second.Pluck), p.pitch(*second.Pluck),
		"CDEFGAB"[letter], LetterName(letter, first.Note.Alter), LetterName(letter, second.Note.Alter))
	f.Advice = "Respell one of them on the neighbouring letter, so that it has a pedal of its own."
	if f.Span == first.Span {
		f.Related = append(f.Related, Related{Span: second.Span, Message: "the other form, struck at the same time"})
	}
	return f
}
