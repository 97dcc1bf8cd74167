// Package bench measures the server as an editor feels it, and wears it out: the
// real binary over standard input and output.
package bench

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Score is a two-staff part for pedal harp of so many bars, four to a line, the
// two staves in turn. About one bar in eight does not fit the hands. The same
// seed gives the same score.
func Score(bars int, seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 1))
	var b strings.Builder
	b.WriteString("%abc-2.1\nX:1\nT:Bench\nM:4/4\nL:1/16\nQ:1/4=120\n%%score {RH LH}\n" +
		"V:RH clef=treble name=\"Harp\"\nV:LH clef=bass\nK:F\n")
	for bar := 0; bar < bars; bar += 4 {
		line(&b, "RH", min(4, bars-bar), func() string { return right(r) })
		line(&b, "LH", min(4, bars-bar), func() string { return left(r) })
	}
	return b.String()
}

func line(b *strings.Builder, voice string, bars int, bar func() string) {
	fmt.Fprintf(b, "[V:%s] ", voice)
	for range bars {
		b.WriteString(bar() + " | ")
	}
	b.WriteString("\n")
}

// right is a bar of the right hand: a tune, broken chords, chords, or figures
// that turn back.
func right(r *rand.Rand) string {
	switch r.IntN(8) {
	case 0:
		return beats(r, "FAfc", "GBgd", "Acae", "EGec")
	case 1, 2:
		return beats(r, "FAcf", "GBdg", "Acea", "EGce")
	case 3, 4:
		return beats(r, "[FAcf]4", "[GBdg]4", "[EGc]4", "z4")
	}
	return beats(r, "f4", "a2g2", "c4", "B2A2", "e4", "d4", "z4")
}

// left is a bar of the left hand.
func left(r *rand.Rand) string {
	if r.IntN(3) == 0 {
		return beats(r, "F,,C,F,A,", "C,,G,,C,E,", "B,,,F,,B,,D,")
	}
	return beats(r, "F,,4", "C,4", "[F,,C,F,]4", "A,4", "z4")
}

func beats(r *rand.Rand, from ...string) string {
	var all [4]string
	for i := range all {
		all[i] = from[r.IntN(len(from))]
	}
	return strings.Join(all[:], " ")
}
