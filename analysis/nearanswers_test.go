package analysis_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/parser/score"
)

// What a glimpse says of a finding's fixes, with all that it remembers of earlier texts,
// is what a reading from nothing says; what it cannot say it leaves to the whole.
func TestGlimpseAnswersAsTheWhole(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	text := []byte(longPart(72))
	g := read(t, string(text)).Glimpse()
	answered, offered := 0, 0
	for i := range 16 {
		start, end, insert := letterEdit(random, text)
		text = append(append(append([]byte{}, text[:start]...), insert...), text[end:]...)
		next := g.Edit(context.Background(), g.File().Edit(start, end, []byte(insert)), start, end)
		fresh := read(t, string(text))
		if next == nil {
			g = fresh.Glimpse()
			continue
		}
		g = next
		for _, at := range []int{start, len(text) / 2} {
			for _, f := range g.Touching(score.Span{Start: at - 40, End: at + 40}) {
				got := g.Answer(context.Background(), f)
				if got.Far {
					continue
				}
				want := fresh.Answer(context.Background(), f)
				require.Equal(t, append([]fix.Fix{}, want.Fixes...), append([]fix.Fix{}, got.Fixes...), "edit %d: %s in bar %d", i, f.Rule, f.Bar)
				assert.Equal(t, want.Why, got.Why)
				answered, offered = answered+1, offered+len(got.Fixes)
			}
		}
	}
	assert.Greater(t, answered, 20)
	assert.Positive(t, offered)
}
