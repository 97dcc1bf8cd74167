package analysis_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
)

// inTurn puts the lines of the two staves of longPart in turn, as they are printed.
func inTurn(text string) string {
	head, music, _ := strings.Cut(text, "V:RH\n")
	right, left, _ := strings.Cut(music, "V:LH\n")
	lower := strings.Split(left, "\n")
	var b strings.Builder
	b.WriteString(head)
	for i, line := range strings.Split(right, "\n") {
		if line != "" {
			b.WriteString("[V:RH] " + line + "\n[V:LH] " + lower[i] + "\n")
		}
	}
	return b.String()
}

// What is shown first of a long text is what the whole says of these bars.
func TestFirstIsWhatTheWholeSays(t *testing.T) {
	text := inTurn(longPart(3000))
	require.Greater(t, len(text), 100_000)
	first := analysis.First(context.Background(), []byte(text), rules.Defaults())
	require.NotNil(t, first)
	whole := read(t, text[:strings.Index(text[20_000:], "\n")+20_001])
	var want []string
	for _, f := range whole.Findings() {
		if !f.Far() && !f.IsNotation() && f.EndBar <= 40 {
			want = append(want, f.Rule+" "+f.Message)
		}
	}
	list, more := first.Pick(1000, 0)
	var got []string
	for _, f := range list {
		got = append(got, f.Rule+" "+f.Message)
	}
	assert.Zero(t, more)
	assert.NotEmpty(t, got)
	assert.Equal(t, want, got)
	assert.Nil(t, analysis.First(context.Background(), []byte(longPart(10)), rules.Defaults()), "a short text is read whole as quickly")
	assert.Nil(t, analysis.First(context.Background(), []byte(longPart(3000)), rules.Defaults()), "the left hand's lines stand too far off")
}
