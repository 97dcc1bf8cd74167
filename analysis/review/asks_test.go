package review

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// randomPart is a fast part for two hands, with wide and shared places in it.
func randomPart(seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, 5))
	var b strings.Builder
	b.WriteString("X:1\nT:Random\nM:4/4\nL:1/16\nQ:1/4=120\n%%score {RH LH}\nV:RH name=Harp\nV:LH clef=bass\nK:F\n")
	for _, voice := range []string{"RH", "LH"} {
		b.WriteString("V:" + voice + "\n")
		for range 24 {
			figures := [][]string{{"FAfc", "c4", "z4", "GBgd", "^fdAF", "[FAcf]2[GBdg]2"}, {"F,C,A,,F,,", "F,4", "z4", "[F,,C,]4", "E,G,C,E,", "_E,4"}}
			side := figures[map[string]int{"RH": 0, "LH": 1}[voice]]
			for range 4 {
				b.WriteString(side[r.IntN(len(side))])
			}
			b.WriteString("|")
		}
		b.WriteString("\n")
	}
	return []byte(b.String())
}

// The line of figures and the page have the same ones.
func TestAsksSaysWhatThePageSays(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "*", "*.abc"))
	require.NoError(t, err)
	texts := map[string][]byte{}
	for _, file := range files {
		texts[file], err = os.ReadFile(file)
		require.NoError(t, err)
	}
	for seed := range uint64(12) {
		texts[fmt.Sprintf("seed %d", seed)] = randomPart(seed)
	}
	limited := 0
	for name, text := range texts {
		r, err := analysis.Read(context.Background(), syntax.Parse(text), rules.Defaults())
		require.NoError(t, err)
		asks, err := AsksOf(context.Background(), r)
		require.NoError(t, err)
		s := newSheet(Input{Text: text, Reading: r}, Options{})
		require.Len(t, asks, len(s.Sections), name)
		for i, sec := range s.Sections {
			a := asks[i]
			assert.Equal(t, sec.Lead.Asked.Words, a.Asked, name)
			assert.Equal(t, sec.Lead.Bar, a.Bar, name)
			assert.Equal(t, sec.limit().who, a.Who, name)
			assert.Equal(t, sec.Lead.Load, a.Load, name)
			if sec.Lead.Holds != nil {
				limited++
				assert.Equal(t, sec.Lead.Holds.Words, a.Holds, name)
				assert.Contains(t, a.String(), "holds up to "+a.Holds)
			}
		}
	}
	require.Positive(t, limited)
}

func TestAsksInWords(t *testing.T) {
	for _, c := range []struct {
		asks Asks
		want string
	}{
		{Asks{Asked: "♩ = 60"}, "♩ = 60 asked, any tempo holds"},
		{Asks{Asked: "♩ = 90", Assumed: true, Pedals: true}, "♩ = 90 assumed, any tempo holds · no pedal moves"},
		{Asks{Asked: "♩ = 132", Holds: "♩ = 101", Bar: 12, Who: "right hand", Pedals: true, Moves: 14, Late: 1, BusiestBar: 9, BusiestMoves: 3},
			"♩ = 132 asked, holds up to ♩ = 101 · hardest: bar 12, right hand · 14 pedal moves, 1 late · busiest: bar 9, 3 moves"},
	} {
		assert.Equal(t, c.want, c.asks.String())
	}
}

func TestAsksStopsWithTheContext(t *testing.T) {
	r, err := analysis.Read(context.Background(), syntax.Parse([]byte("X:1\nK:C\nCDEF|\n")), rules.Defaults())
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = AsksOf(ctx, r)
	assert.ErrorIs(t, err, context.Canceled)
}

func BenchmarkAsks(b *testing.B) {
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "ferry-at-dusk.abc"))
	require.NoError(b, err)
	r, err := analysis.Read(context.Background(), syntax.Parse(text), rules.Defaults())
	require.NoError(b, err)
	for b.Loop() {
		if _, err := AsksOf(context.Background(), r); err != nil {
			b.Fatal(err)
		}
	}
}

// A long tune that is read by sections asks what it asks read as one.
func TestAsksOfSections(t *testing.T) {
	for seed := range uint64(6) {
		text := []byte(strings.Replace(string(randomPart(seed)), "|", "|z16|", 3))
		var asks [2][]Asks
		for i, bars := range []int{4, -1} {
			r, err := analysis.Read(context.Background(), syntax.Parse(text), rules.Defaults().InSections(bars))
			require.NoError(t, err)
			require.Equal(t, bars > 0, r.Long(0) != nil)
			asks[i], err = AsksOf(context.Background(), r)
			require.NoError(t, err)
		}
		assert.Equal(t, asks[1], asks[0], "seed %d", seed)
	}
}
