package score

import (
	"bytes"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"fourfold/parser/syntax"
)

// harpPart writes a two-staff part of so many bars, four to a line, with what
// harp parts hold: chords, ties, accidentals, graces, tuplets, marks.
func harpPart(bars int) []byte {
	var b strings.Builder
	b.WriteString("%abc-2.1\nX:1\nT:Part\nM:4/4\nL:1/8\nQ:1/4=96\n%%score {RH LH}\nV:RH clef=treble name=\"Harp\"\nV:LH clef=bass\nK:Eb\n")
	right := []string{"!arpeggio![EGBe]2 (B2 {c}d2) e2-", "e2 ^f=e (3dcB A2", "EGBe gbe'g'", "[Ge]>[Fd] [Ec]2 z4"}
	left := []string{"E,,2 B,,2 E,2 G,2", "[C,,C,]4 [G,,E,]4-", "[G,,E,]4 z4", "z2 E,2 =E,2 F,2"}
	for i := 0; i < bars; i += 4 {
		fmt.Fprintf(&b, "%% %d\n[V:RH] %s |\n[V:LH] %s |\n", i+1, strings.Join(right, " | "), strings.Join(left, " | "))
	}
	return []byte(b.String())
}

func BenchmarkBuild(b *testing.B) {
	for _, bars := range []int{100, 1000, 10000} {
		text := harpPart(bars)
		b.Run(fmt.Sprintf("bars=%d", bars), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				Build(syntax.Parse(text))
			}
		})
	}
}

// BenchmarkNotes shows the cost of a byte from 10 KB to 10 MB.
func BenchmarkNotes(b *testing.B) {
	unit := harpPart(100)
	for _, size := range []int{10_000, 100_000, 1_000_000, 10_000_000} {
		text := bytes.Repeat(append(unit, '\n'), size/len(unit)+1)
		b.Run(fmt.Sprintf("bytes=%d", len(text)), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				if err := WriteNotes(text, discard{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }

// BenchmarkKey types a note in the middle of parts of 1,000 to 20,000 lines and takes it
// out again: tree, score and what has changed.
func BenchmarkKey(b *testing.B) {
	for _, lines := range []int{1000, 5000, 20000} {
		text := harpPart(lines * 4 / 3)
		b.Run(fmt.Sprintf("lines=%d", lines), func(b *testing.B) {
			at := bytes.IndexByte(text[len(text)/2:], '|') + len(text)/2
			file := syntax.Parse(text)
			s := Build(file)
			var took []time.Duration
			key := func(start, end int, insert string) {
				begun := time.Now()
				next := file.Edit(start, end, []byte(insert))
				t := Update(s, file, next)
				Changed(s.Tunes[0], t.Tunes[0], len(insert)-(end-start))
				took = append(took, time.Since(begun))
				file, s = next, t
			}
			b.ReportAllocs()
			for b.Loop() {
				key(at, at, "c")
				key(at, at+1, "")
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-µs")
			b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-µs")
		})
	}
}

// BenchmarkLive shows what tree and score hold in memory.
func BenchmarkLive(b *testing.B) {
	for _, lines := range []int{1000, 5000, 20000} {
		text := harpPart(lines * 4 / 3)
		b.Run(fmt.Sprintf("lines=%d", lines), func(b *testing.B) {
			var before, after runtime.MemStats
			for b.Loop() {
				runtime.GC()
				runtime.ReadMemStats(&before)
				file := syntax.Parse(text)
				s := Build(file)
				runtime.GC()
				runtime.ReadMemStats(&after)
				runtime.KeepAlive(file)
				runtime.KeepAlive(s)
			}
			b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/1e6, "MB")
		})
	}
}
