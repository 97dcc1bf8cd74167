package score

import (
	"math"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func tuneOf(t *testing.T, text string) *Tune {
	s := Build(syntax.Parse([]byte(text)))
	require.Len(t, s.Tunes, 1)
	return s.Tunes[0]
}

func TestTempo(t *testing.T) {
	for _, c := range []struct {
		field    string
		quarters float64
		beat     Frac
		text     string
	}{
		{`1/4=120`, 120, F(1, 4), ""},
		{`3/8=40`, 60, F(3, 8), ""},
		{`1/4 3/8 1/4 3/8=40`, 200, F(5, 4), ""},
		{`"Andante" 1/2=30`, 60, F(1, 2), "Andante"},
		{`1/8=90 "Presto"`, 45, F(1, 8), "Presto"},
		{`1/4=ca. 80`, 80, F(1, 4), ""},
		{`120`, 60, F(1, 8), ""},
		{`C=120`, 60, F(1, 8), ""},
		{`C3=120`, 180, F(3, 8), ""},
		{`"Largo"`, AssumedTempo, F(1, 4), "Largo"},
	} {
		t.Run(c.field, func(t *testing.T) {
			tune := tuneOf(t, "X:1\nM:4/4\nL:1/8\nQ:"+c.field+"\nK:C\nC8|")
			tl := tune.Timeline(TempoChoice{})
			assert.InDelta(t, c.quarters, tl.QuartersAt(1, Zero), 1e-9)
			assert.Equal(t, c.beat, tl.BeatAt(1, Zero))
			assert.Equal(t, c.text, tune.Tempi[0].Text)
			assert.Equal(t, c.text == "Largo", tl.Assumed())
		})
	}
}

func TestTimeline(t *testing.T) {
	// Bar 2 of L is short by a quarter: what follows stays lined up.
	tune := tuneOf(t, "X:1\nM:4/4\nL:1/4\nQ:1/4=60\nV:R\nV:L\nK:C\n[V:R]C4|C4|C2[Q:1/4=120]C2|C4|\n[V:L]C4|C3|C4|C4|")
	tl := tune.Timeline(TempoChoice{})
	assert.Equal(t, 4, tl.Bars())
	assert.Equal(t, []Frac{F(0, 1), F(1, 1), F(2, 1), F(3, 1), F(4, 1), F(4, 1)},
		[]Frac{tl.Start(1), tl.Start(2), tl.Start(3), tl.Start(4), tl.Start(5), tl.Start(9)})
	assert.Equal(t, F(1, 1), tl.Length(2))
	assert.Equal(t, Zero, tl.Length(5))
	assert.InDelta(t, 8, tl.Seconds(3, Zero), 1e-12)
	assert.InDelta(t, 10, tl.Seconds(3, F(1, 2)), 1e-12)
	assert.InDelta(t, 11, tl.Seconds(4, Zero), 1e-12)
	assert.InDelta(t, 1, tl.Between(3, F(3, 8), 3, F(3, 4)), 1e-12)
	assert.InDelta(t, 60, tl.QuartersAt(3, F(1, 4)), 1e-12)
	assert.InDelta(t, 120, tl.QuartersAt(3, F(1, 2)), 1e-12)
	assert.False(t, tl.Assumed())

	over := tune.Timeline(TempoChoice{Override: 30})
	assert.InDelta(t, 16, over.Seconds(3, Zero), 1e-12)
	assert.False(t, over.Assumed())
}

func TestTimelineWithoutTempo(t *testing.T) {
	tune := tuneOf(t, "X:1\nM:6/8\nL:1/8\nK:C\nC6|C6|")
	tl := tune.Timeline(TempoChoice{})
	assert.True(t, tl.Assumed())
	assert.InDelta(t, 2, tl.Seconds(2, Zero), 1e-12) // three quarters at 90
	assert.Equal(t, F(3, 8), tl.BeatAt(1, Zero))
	assert.InDelta(t, 3, tune.Timeline(TempoChoice{Default: 60}).Seconds(2, Zero), 1e-12)
}

// Lengths that no fraction of 64 bits can sum keep the order of time.
func TestTimelineOverflow(t *testing.T) {
	text := "X:1\nM:none\nL:1/4096\nK:C\n"
	for _, p := range []string{"997", "991", "983", "977", "971", "967", "953", "947", "941", "937"} {
		text += "C" + p + "/4093 C/" + p + " (3C/" + p + "DE (7:" + p + ":7CDEFGAB|"
	}
	tune := tuneOf(t, text)
	tl := tune.Timeline(TempoChoice{})
	require.Equal(t, 10, tl.Bars())
	last := -1.0
	for k := 1; k <= 10; k++ {
		at := tl.Seconds(k, Zero)
		assert.True(t, tl.Start(k).Valid())
		assert.Greater(t, at, last)
		assert.False(t, math.IsNaN(at) || math.IsInf(at, 0))
		last = at
	}
}
