package analysis_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
)

// After any row of edits a glimpse says where everything is that the music nearby
// decides, and the whole that it leads to is what a reading from nothing says.
func TestGlimpseLeadsToTheWhole(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 8))
	text := []byte(longPart(100))
	g := read(t, string(text)).Glimpse()
	looked := 0
	for i := range 80 {
		start, end, insert := randomEdit(random, text)
		if i%2 == 0 {
			start, end, insert = letterEdit(random, text)
		}
		text = append(append(append([]byte{}, text[:start]...), insert...), text[end:]...)
		next := g.Edit(context.Background(), g.File().Edit(start, end, []byte(insert)), start, end)
		if next != nil {
			looked++
			whole, err := next.Whole(context.Background())
			require.NoError(t, err)
			fresh := read(t, string(text))
			require.Equal(t, fresh.Findings(), whole.Findings(), "edit %d: %q at %d", i, insert, start)
			assert.Equal(t, places(fresh.Glimpse()), places(next), "edit %d: %q at %d", i, insert, start)
			for _, at := range []int{start, random.IntN(len(text))} {
				want, wanted := fresh.Card(at)
				got, ok := next.Card(context.Background(), at)
				assert.Equal(t, wanted, ok, "edit %d, at %d", i, at)
				assert.Equal(t, want, got, "edit %d, at %d", i, at)
				assert.Equal(t, fresh.At(at), fresh.Glimpse().At(at))
			}
		} else {
			next = read(t, string(text)).Glimpse()
		}
		g = next
	}
	assert.Greater(t, looked, 30, "most edits are looked at")
}

// letterEdit changes one note of the music for another, or gives it another length.
func letterEdit(random *rand.Rand, text []byte) (start, end int, insert string) {
	for {
		start = 120 + random.IntN(len(text)-120)
		if c := text[start]; c >= 'A' && c <= 'G' || c >= 'a' && c <= 'g' {
			return start, start + 1, []string{"C", "f", "e2", "^g", "A,"}[random.IntN(5)]
		}
	}
}

// places are the findings that the music nearby decides, without what may depend on
// how the hands share further off.
func places(g *analysis.Glimpse) (list []string) {
	all, _ := g.Pick(1<<30, 0)
	for _, f := range all {
		if !f.Far() {
			list = append(list, fmt.Sprint(f.Rule, f.Span, f.Bar, f.EndBar, f.Related))
		}
	}
	return list
}

// Of many findings a client gets the nearest and the gravest.
func TestPick(t *testing.T) {
	r := read(t, longPart(400))
	all := r.Findings()
	require.Greater(t, len(all), 60)
	for _, point := range []int{0, 4000, 9000, 1 << 20} {
		list, more := r.Glimpse().Pick(40, point)
		require.Len(t, list, 40)
		assert.Equal(t, len(all)-40, more)
		assert.Equal(t, bestOf(all, 40, point), list, "at %d", point)
	}
	list, more := r.Glimpse().Pick(len(all), 0)
	assert.Equal(t, all, list)
	assert.Zero(t, more)
}

// bestOf chooses as Pick does, the slow way.
func bestOf(all []rules.Finding, limit, point int) (list []rules.Finding) {
	taken := map[int]bool{}
	take := func(n int, severity rules.Severity) {
		for ; n > 0; n-- {
			best, near := -1, 0
			for i, f := range all {
				d := 2 * (f.Span.Start - point)
				if d < 0 {
					d = -d - 1
				}
				if !taken[i] && (severity == rules.Off || f.Severity == severity) && (best < 0 || d < near || d == near && f.Span.Start < point) {
					best, near = i, d
				}
			}
			if best < 0 {
				return
			}
			taken[best] = true
		}
	}
	take(limit/2, rules.Off)
	for s := rules.Error; s <= rules.Hint; s++ {
		take(limit-len(taken), s)
	}
	for i, f := range all {
		if taken[i] {
			list = append(list, f)
		}
	}
	return list
}
