package analysis_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// longPart is a two-staff part of so many bars in sixteenths, four bars a line,
// with a figure that turns in every eighth bar. No line is empty: that would end the tune.
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
	return fmt.Sprintf("X:1\nT:Long\nM:4/4\nL:1/16\nQ:1/4=144\n%%%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n%sV:LH\n%s\n", rh.String(), lh.String())
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

// What a key takes until what the bars around it decide is known: one note becomes
// another one, or longer, anywhere in a long part. Half of the keys take less than p50, one
// in a hundred more than p99; microseconds.
func BenchmarkGlimpse(b *testing.B) {
	const edited = "CDEFGABc"
	text := longPart(1000)
	music := strings.Index(text, "V:RH\n") + len("V:RH\n")
	read, err := analysis.Read(context.Background(), syntax.Parse([]byte(text)), rules.Defaults())
	if err != nil {
		b.Fatal(err)
	}
	g := read.Glimpse()
	r := rand.New(rand.NewPCG(3, 3))
	var keys []time.Duration
	for b.Loop() {
		text := g.File().Text()
		at := music + r.IntN(len(text)-music)
		for strings.IndexByte(edited, text[at]) < 0 || text[at-1] == 'V' || text[at+1] == ':' || text[at+1] == 'H' {
			at = music + r.IntN(len(text)-music)
		}
		key := []byte{edited[r.IntN(len(edited))]}
		if r.IntN(4) == 0 && text[at+1] != ',' {
			key = []byte{text[at], '2'}
		}
		start := time.Now()
		next := g.Edit(context.Background(), g.File().Edit(at, at+1, key), at, at+1)
		if next == nil { // it reaches further than the bars around it
			continue
		}
		g = next
		keys = append(keys, time.Since(start))
	}
	slices.Sort(keys)
	b.ReportMetric(float64(keys[len(keys)/2].Microseconds()), "p50-µs")
	b.ReportMetric(float64(keys[len(keys)*99/100].Microseconds()), "p99-µs")
}
