package rules

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

const turning = "X:1\nM:4/4\nL:1/16\nQ:1/4=160\nK:C\nV:RH name=\"Harp\"\n"

func named(t *testing.T, text string) (names []string, findings []Finding) {
	_, findings, err := Run(context.Background(), []byte(text), score.Build(syntax.Parse([]byte(text))), Defaults())
	require.NoError(t, err)
	for _, f := range findings {
		names = append(names, f.Rule)
	}
	return names, findings
}

func TestAllowances(t *testing.T) {
	const music = "DFdA z4 z8 |\n"
	for name, c := range map[string]struct {
		lines string
		want  []string
	}{
		"none":             {music, []string{"hands/turn"}},
		"by name":          {"% fourfold: allow hands/turn — asked for\n" + music, nil},
		"by group":         {"% fourfold: allow hands\n" + music, nil},
		"several":          {"% fourfold: allow hands/reach, hands/turn -- both\n" + music, nil},
		"reason not rules": {"% fourfold: allow hands/reach — not hands/turn\n" + music, []string{staleName, "hands/turn"}},
		"remarks between":  {"% fourfold: allow hands/turn — asked for\n% dolce\n" + music, nil},
		"two above":        {"% fourfold: allow hands/reach — a\n% fourfold: allow hands/turn — b\n" + music, []string{staleName}},
		"next line only":   {"% fourfold: allow hands/turn — a\nz16 |\n" + music, []string{staleName, "hands/turn"}},
		"no rule":          {"% fourfold: allow\n" + music, []string{staleName, "hands/turn"}},
		"CRLF":             {"% fourfold: allow hands/turn — a\r\n" + music, nil},
		"last line":        {music + "% fourfold: allow hands/turn — a", []string{"hands/turn", staleName}},
	} {
		t.Run(name, func(t *testing.T) {
			names, _ := named(t, turning+c.lines)
			assert.Equal(t, c.want, names)
		})
	}
}

// Looked at from the finding or over the whole text, a remark allows the same.
func TestIsAllowedIsWhatAllowancesAllow(t *testing.T) {
	pieces := []string{"% fourfold: allow hands/turn — a", " %fourfold: allow hands", "% fourfold: allow feet/late, hands/reach", "% dolce", "%%score 1",
		"", "C D E |", "w: a b", "\n", "\n", "\n", "\r\n", "\r\n", "\r"}
	r := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		var b strings.Builder
		for range r.IntN(12) {
			b.WriteString(pieces[r.IntN(len(pieces))])
		}
		text := []byte(b.String())
		all := allowancesOf(text)
		for at := range len(text) + 2 {
			for _, rule := range []string{"hands/turn", "hands/reach", "feet/late"} {
				f := Finding{Rule: rule, Span: score.Span{Start: at, End: at + 1}}
				require.Equal(t, all.allows(f), isAllowed(text, f), "%q, %s at %d", text, rule, at)
			}
		}
	}
}

// The change that a stale allowance offers takes the whole line away.
func TestStaleAllowanceGoes(t *testing.T) {
	text := turning + "% fourfold: allow hands/reach — a\nz16 |\n"
	_, findings := named(t, text)
	require.Len(t, findings, 1)
	edit := findings[0].Certain[0].Edits[0]
	assert.Equal(t, turning+"z16 |\n", text[:edit.Span.Start]+edit.Text+text[edit.Span.End:])
}

// An allowance is read as it is written.
func TestAllowanceReadsBack(t *testing.T) {
	a, ok := readAllowance([]byte(Allowance("hands/turn", "the player asked for it")), 0)
	require.True(t, ok)
	assert.Equal(t, []string{"hands/turn"}, a.rules)
}
