package fix_test

import (
	"context"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

func (r reading) whole() fix.Text {
	return fix.Text{File: r.file, Score: r.score, Parts: r.parts, Findings: r.findings, Settings: rules.Defaults()}
}

const manyTurns = twoStaves + "DFdA z4 z8 | EGeB z4 z8 | DFdA z4 [CEGce]8 |\n" +
	"V:LH\nC,2E,2 G,2C2 E2C2 G,2E,2 | C,2E,2 G,2C2 E2C2 G,2E,2 | C,2E,2 G,2C2 E2C2 G,2E,2 |\n"

// All of one kind: those are gone, the others stay, and the edits are what makes
// the text after of the text before.
func TestAllOfOneKind(t *testing.T) {
	r := read(t, []byte(manyTurns))
	out := fix.All(context.Background(), r.whole(), fix.OfRule("hands/turn", "1"))
	assert.True(t, out.Whole)
	assert.Empty(t, out.Left)
	assert.NotEmpty(t, out.Fixed)
	assert.Equal(t, string(out.After), string(applyAll([]byte(manyTurns), out.Edits)))
	left := map[string]int{}
	for _, f := range read(t, out.After).findings {
		left[f.Rule]++
	}
	assert.Zero(t, left["hands/turn"])
	assert.Equal(t, 1, left["hands/too-many"])
}

// A selection is fixed whole, and what lies outside stays.
func TestSelection(t *testing.T) {
	r := read(t, []byte(manyTurns))
	from := strings.Index(manyTurns, "EGeB")
	out := fix.Selection(context.Background(), r.whole(), score.Span{Start: from, End: len(manyTurns)})
	assert.True(t, out.Whole)
	assert.Empty(t, out.Left)
	assert.Equal(t, string(out.After), string(applyAll([]byte(manyTurns), out.Edits)))
	assert.True(t, strings.HasPrefix(string(out.After), manyTurns[:from]))
	none := fix.Selection(context.Background(), r.whole(), score.Span{})
	assert.Equal(t, manyTurns, string(none.After))
}

// When there is no time, what is there by then is the answer.
func TestNoTime(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	r := read(t, []byte(manyTurns))
	for _, out := range []fix.Outcome{
		fix.All(ctx, r.whole(), fix.Warnings),
		fix.Selection(ctx, r.whole(), score.Span{Start: 0, End: len(manyTurns)}),
	} {
		assert.False(t, out.Whole)
		assert.Equal(t, manyTurns, string(out.After))
		assert.NotEmpty(t, out.Left)
	}
}

// The remark that allows a finding makes it go and is not stale.
func TestAllow(t *testing.T) {
	for _, text := range []string{manyTurns, strings.ReplaceAll(manyTurns, "\n", "\r\n")} {
		r := read(t, []byte(text))
		for _, f := range r.findings {
			fx, ok := fix.Allow(r.file, f)
			require.True(t, ok)
			for _, g := range read(t, applyAll([]byte(text), fx.Edits)).findings {
				assert.NotEqual(t, "fourfold/stale-allowance", g.Rule)
				assert.False(t, g.Rule == f.Rule && g.Voice == f.Voice && g.Bar == f.Bar, g.Message)
			}
		}
	}
}

// A long piece is fixed many places at a time: what is told is what became of it, and
// each fix leaves one warning less at least.
func TestManyAtATime(t *testing.T) {
	rnd := rand.New(rand.NewSource(1866))
	var right, left []string
	for range 24 {
		r, l := awkwardBar(rnd)
		right, left = append(right, r), append(left, l)
	}
	text := awkwardPart(112, strings.Join(right, " | "), strings.Join(left, " | "))
	before := read(t, []byte(text))
	out := fix.All(context.Background(), before.whole(), fix.Warnings)
	require.True(t, out.Whole)
	assert.Greater(t, len(out.Fixed), 5)
	assert.Equal(t, string(out.After), string(applyAll([]byte(text), out.Edits)))
	stays := map[string]int{}
	for _, l := range out.Left {
		stays[l.Finding.Rule]++
		assert.NotEmpty(t, l.Why)
	}
	was, is := 0, map[string]int{}
	for _, f := range before.findings {
		if fix.Warnings(f) {
			was++
		}
	}
	for _, f := range read(t, out.After).findings {
		if fix.Warnings(f) {
			is[f.Rule]++
		}
	}
	assert.Equal(t, is, stays)
	assert.LessOrEqual(t, len(out.Left), was-len(out.Fixed))
}
