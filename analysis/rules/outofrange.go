package rules

import "fmt"

const outOfRangeName = "strings/out-of-range"

// OutOfRange finds notes for which the harp has no string.
var OutOfRange = Rule{
	Name:  outOfRangeName,
	Title: "the harp has no such string",
	Doc: `A concert pedal harp has 47 strings, from C1 (three octaves below middle C) to G7. A
note below or above them cannot be played at all. Smaller harps have fewer strings.

Fails: B,,,, (B0), one step below the lowest string. Passes: C,,, (C1).

What to do: move the note by an octave, or leave it out.

Where the number comes from: compass of 47 strings, Widor, Initiation musicale (1923) p. 47, and
a composers' handout on the pedal harp; read.`,
	Check: checkOutOfRange,
}

func checkOutOfRange(p *Part) (out []Finding) {
	low, high := p.Settings.Instrument.Lowest, p.Settings.Instrument.Highest
	p.eachPluck(func(pl pluckAt) {
		s := pl.Note.String
		if s >= low && s <= high {
			return
		}
		end, side := low, "lowest"
		move := (low - s + 6) / 7
		if s > high {
			end, side = high, "highest"
			move = (s - high + 6) / 7
		}
		f := p.finding(outOfRangeName, *pl.Pluck)
		f.Message = fmt.Sprintf("`%s` (%s) lies %s beyond the harp's %s string, %s.",
			p.Typed(*pl.Pluck), p.pitch(*pl.Pluck), IntervalWords(abs(s-end)), side, PitchWords(end, 0))
		f.Advice = fmt.Sprintf("Move it by %s, or leave it out.", count(move, "octave"))
		out = append(out, f)
	})
	return out
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
