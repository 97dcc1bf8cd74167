package fix_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
)

// A finding is not gone where another takes up its notes: without the grace note between
// them two rows of repeated notes are one.
func TestJoinedFindingsAreNotGone(t *testing.T) {
	r := read(t, []byte(at(160)+"{ga}aaaa {g}aaaa z8 |\n"+busyLeft))
	asked := 0
	for _, f := range r.findings {
		if f.Rule != "hands/restrike" || f.Span.Start < int(indexOf(r, "a {g}")) {
			continue
		}
		asked++
		for _, fx := range fix.For(context.Background(), r.question(f)) {
			assert.NotContains(t, fx.Title, "Leave out the grace notes", fx.After)
		}
	}
	require.Positive(t, asked)
}

func indexOf(r reading, text string) int {
	for i := range r.file.Text() {
		if string(r.file.Text()[i:min(len(r.file.Text()), i+len(text))]) == text {
			return i
		}
	}
	return -1
}

// In a tune for two harps each has a right hand: what one of them finds too fast has no
// part in the other's slower tempo.
func TestTwoHarpsAtASlowerTempo(t *testing.T) {
	text := "X:1\nM:4/4\nL:1/16\nQ:1/4=100\n%%score {A1 A2} {B1 B2}\nV:A1 name=\"Harp 1\"\nV:A2 clef=bass\nV:B1 name=\"Harp 2\"\nV:B2 clef=bass\nK:C\n" +
		"V:A1\naaa{a}a z4 z8 |\nV:A2\nC,2E,2 G,2C2 E2C2 G,2E,2 |\nV:B1\nc4 e4 g2g2 z4 |\nV:B2\nz16 |\n"
	r := read(t, []byte(text))
	asked := 0
	for _, f := range r.findings {
		if f.Rule != "hands/restrike" || f.Voice != "A1" {
			continue
		}
		asked++
		for _, fx := range fix.For(context.Background(), r.question(f)) {
			checkPromise(t, []byte(text), r, f, fx)
		}
	}
	require.Positive(t, asked)
}
