package analysis_test

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

func read(t *testing.T, text string) *analysis.Reading {
	r, err := analysis.Read(context.Background(), syntax.Parse([]byte(text)), rules.Defaults())
	require.NoError(t, err)
	return r
}

func demo(t *testing.T, name string) string {
	text, err := os.ReadFile("../testdata/demo/" + name + ".abc")
	require.NoError(t, err)
	return string(text)
}

// The first demo is what somebody who thinks in piano writes: it meets every
// rule of hands, strings and feet, and some of the notation.
func TestFerryMeetsEveryRule(t *testing.T) {
	found := map[string]bool{}
	fixes := 0
	r := read(t, demo(t, "ferry-at-dusk"))
	for _, f := range r.Findings() {
		found[f.Rule] = true
		fixes += len(r.Fixes(context.Background(), f))
	}
	for _, name := range []string{
		"hands/too-many", "hands/reach", "hands/restrike", "hands/turn", "hands/new-placing", "hands/stretch", "hands/tight",
		"strings/out-of-range", "feet/two-at-once", "feet/no-position", score.RuleSyntax, score.RuleBarLength,
	} {
		assert.True(t, found[name], name)
	}
	assert.Positive(t, fixes)
}

// What no hand takes stays with the hand that reads it; the other hand's notes are not
// thrown in with it.
func TestNoHandHelpsWithWhatItCannotTake(t *testing.T) {
	some := 0
	for _, p := range read(t, demo(t, "ferry-at-dusk")).Parts() {
		for side, own := range []*rules.Hand{p.Right, p.Left} {
			written := map[float64][]int{}
			for _, s := range own.Strokes {
				written[s.T] = s.Strings
			}
			played := p.Played[side]
			for _, pl := range played.Solution.Placings {
				if s := played.Strokes[pl.From]; pl.Impossible {
					some++
					assert.Subset(t, written[s.T], s.Strings, "%s at %.2f s", own.Name, s.T)
				}
			}
		}
	}
	assert.Positive(t, some)
}

// A chord that both hands take together is a hint, however short the way to it is; that
// the way is more than twice too short is no small matter of one string.
func TestAChordForTwoThatComesTooSoon(t *testing.T) {
	text, err := os.ReadFile("../testdata/rules/chord-for-two.abc")
	require.NoError(t, err)
	severity := map[string]rules.Severity{}
	for _, f := range read(t, string(text)).Findings() {
		severity[f.Rule] = f.Severity
	}
	assert.Equal(t, map[string]rules.Severity{"hands/restrike": rules.Warning, "hands/too-many": rules.Hint}, severity)
}

func TestHarbourFits(t *testing.T) {
	assert.Empty(t, read(t, demo(t, "harbour-lights")).Findings())
}

// The third demo comes right when the first offered change is taken, finding
// after finding.
func TestMorningComesRight(t *testing.T) {
	text := demo(t, "morning-crossing")
	require.NotEmpty(t, read(t, text).Findings())
	for range 20 {
		fixed, ok := takeFirstFix(t, text)
		if !ok {
			break
		}
		text = fixed
	}
	for _, f := range read(t, text).Findings() {
		assert.Greater(t, f.Severity, rules.Warning, describe(text, f))
	}
}

// takeFirstFix accepts the first fix of the first warning that has one.
func takeFirstFix(t *testing.T, text string) (string, bool) {
	r := read(t, text)
	for _, f := range r.Findings() {
		if f.Severity > rules.Warning {
			continue
		}
		if fixes := r.Fixes(context.Background(), f); len(fixes) > 0 {
			return apply(text, fixes[0].Edits), true
		}
	}
	return text, false
}
