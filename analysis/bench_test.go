package analysis_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// longPart is a two-staff part of so many bars in sixteenths, four bars a line,
// with a figure that turns in every eighth bar.
func longPart(bars int) string {
	var rh, lh strings.Builder
	figures := []string{"CEGc DFAd EGce FAcf", "GBdg AceA2 z2 c4", "c2e2 g2e2 c4 z4", "FAcf GBdg Aceg z4"}
	for i := range bars {
		f := figures[i%len(figures)]
		if i%8 == 3 {
			f = "DFdA EGeB FAfc z4"
		}
		end := " | "
		if i%4 == 3 {
			end = " |\n"
		}
		rh.WriteString(f + end)
		lh.WriteString([]string{"C,4 G,4 C4 G,4", "F,,4 C,4 F,4 z4"}[i%2] + end)
	}
	return fmt.Sprintf("X:1\nT:Long\nM:4/4\nL:1/16\nQ:1/4=144\n%%%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n%s\nV:LH\n%s\n", rh.String(), lh.String())
}

func BenchmarkRead(b *testing.B) {
	for _, bars := range []int{100, 1000} {
		b.Run(fmt.Sprint(bars), func(b *testing.B) {
			text := []byte(longPart(bars))
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				r, err := analysis.Read(context.Background(), syntax.Parse(text), rules.Defaults())
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(r.Findings())), "findings")
			}
		})
	}
}

func BenchmarkNext(b *testing.B) {
	for _, bars := range []int{100, 1000} {
		b.Run(fmt.Sprint(bars), func(b *testing.B) {
			text := longPart(bars)
			file := syntax.Parse([]byte(text))
			r, err := analysis.Read(context.Background(), file, rules.Defaults())
			if err != nil {
				b.Fatal(err)
			}
			at := strings.Index(text[len(text)/4:], "G") + len(text)/4
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				file = file.Edit(at, at+1, []byte{"GAFE"[i%4]})
				if r, err = analysis.Next(context.Background(), r, file, rules.Defaults()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
