package fix_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// longPart is a two-staff part of so many bars, one in sixteen of them with a
// figure that turns too fast.
func longPart(bars int) []byte {
	var b strings.Builder
	b.WriteString("X:1\nM:4/4\nL:1/16\nQ:1/4=132\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:Eb\n")
	right := []string{"EGBe z4 EGBe z4", "e4 d4 [GBe]8", "EGBe gbe'g' e'8", "[Ge]4 [Fd]4 [Ec]4 z4"}
	left := []string{"E,,4 B,,4 E,4 G,4", "[C,,C,]8 [G,,E,]8", "[G,,E,]8 z8", "z4 E,4 E,4 F,4"}
	for i := 0; i < bars; i += 4 {
		r := append([]string{}, right...)
		if i%16 == 0 {
			r[0] = "EGeB FAfc EGeB z4"
			left[0] = "E,,B,,E,G, E,,B,,E,G, E,,B,,E,G, E,,B,,E,G,"
		}
		fmt.Fprintf(&b, "[V:RH] %s |\n[V:LH] %s |\n", strings.Join(r, " | "), strings.Join(left, " | "))
	}
	return []byte(b.String())
}

// BenchmarkFind measures all that a list of actions for one finding takes, in a
// short part and in a long one.
func BenchmarkFind(b *testing.B) {
	for _, bars := range []int{16, 1000} {
		r := readRemembering(b, longPart(bars))
		var f rules.Finding
		for _, g := range r.findings {
			if g.Rule == "hands/turn" && (f.Rule == "" || g.Bar <= bars/2) {
				f = g
			}
		}
		b.Run(fmt.Sprintf("bars=%d", bars), func(b *testing.B) {
			n := 0
			for b.Loop() {
				n = len(fix.For(context.Background(), r.question(f)))
			}
			b.ReportMetric(float64(n), "fixes")
		})
	}
}

// readRemembering reads as an editor's session does, which remembers fingerings.
func readRemembering(t testing.TB, text []byte) reading {
	r := reading{file: syntax.Parse(text)}
	r.score = score.Build(r.file)
	var err error
	r.parts, r.findings, err = rules.Run(context.Background(), text, r.score, rules.Defaults().Remembering(rules.NewMemory()))
	require.NoError(t, err)
	return r
}

// BenchmarkAll fixes every turn of a part of 100 bars.
func BenchmarkAll(b *testing.B) {
	r := read(b, longPart(100))
	set := rules.Defaults().Remembering(rules.NewMemory())
	for b.Loop() {
		fix.All(context.Background(), fix.Text{File: r.file, Score: r.score, Parts: r.parts, Findings: r.findings, Settings: set}, fix.OfRule("hands/turn", ""))
	}
}
