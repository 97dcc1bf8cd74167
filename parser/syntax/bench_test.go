package syntax

import (
	"bytes"
	"fmt"
	"testing"
)

const twoStaves = "[V:RH] !arpeggio![EGBe]2 (B2 {c}d2) e2- | e2 ^f=e (3dcB A2 | EGBe gbe'g' | [Ge]>[Fd] [Ec]2 z4 |\n" +
	"[V:LH] E,,2 B,,2 E,2 G,2 | [C,,C,]4 [G,,E,]4- | [G,,E,]4 z4 | z2 E,2 =E,2 F,2 |\n"

func musicOf(lines int) []byte {
	return append([]byte("%abc-2.1\nX:1\nM:4/4\nL:1/8\nK:Eb\n"), bytes.Repeat([]byte(twoStaves), lines/2)...)
}

// BenchmarkParse shows MB/s, and the cost of a byte from 10 KB to 10 MB.
func BenchmarkParse(b *testing.B) {
	for _, size := range []int{10_000, 100_000, 1_000_000, 10_000_000} {
		text := musicOf(2 * size / len(twoStaves))
		b.Run(fmt.Sprintf("bytes=%d", size), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				Parse(text)
			}
		})
	}
}

// BenchmarkParseLine is one line without an end.
func BenchmarkParseLine(b *testing.B) {
	for _, size := range []int{10_000, 100_000, 1_000_000, 10_000_000} {
		text := append([]byte("X:1\nK:C\n"), bytes.Repeat([]byte("CDEF \"^a\"[GBd]2|"), size/16)...)
		b.Run(fmt.Sprintf("bytes=%d", size), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				Parse(text)
			}
		})
	}
}

// BenchmarkEdit types a note in the middle of 5,000 lines.
func BenchmarkEdit(b *testing.B) {
	text := musicOf(5000)
	f := Parse(text)
	at := len(text) / 2
	b.ReportAllocs()
	for b.Loop() {
		f.Edit(at, at, []byte("c"))
	}
}
