package rules

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/feet"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

const placed = `X:1
M:4/4
L:1/8
Q:1/4=60
%%score {RH LH}
V:RH name=Harp
V:LH clef=bass
K:C
V:RH
CEGc [CEG]2 ^F2 | c4 z4 |
V:LH
z8 | F,8 |
`

func partOf(t *testing.T, text string) *Part {
	parts, _, err := Run(context.Background(), []byte(text), score.Build(syntax.Parse([]byte(text))), Defaults())
	require.NoError(t, err)
	require.Len(t, parts, 1)
	return parts[0]
}

func TestPlacingsHoldEveryNoteOnce(t *testing.T) {
	p := partOf(t, placed)
	notes, groups := p.Placings(score.Span{Start: 0, End: len(placed)})
	seen := map[int]bool{}
	for k, g := range groups {
		for _, i := range g.Notes {
			assert.False(t, seen[i])
			seen[i] = true
			assert.Equal(t, k, notes[i].Placing)
			assert.Equal(t, g.Hand, notes[i].Hand)
		}
		assert.NotEmpty(t, g.Why)
		assert.NotEmpty(t, g.Beat)
	}
	assert.Len(t, seen, len(notes))
	require.Len(t, notes, 10)
	at := strings.Index(placed, "CEGc")
	for i, finger := range []int{4, 3, 2, 1} {
		assert.Equal(t, at+i, notes[i].Start)
		assert.Equal(t, finger, notes[i].Finger)
	}
	assert.Equal(t, at+4, groups[0].End)
}

func TestPlacingsWithinASpan(t *testing.T) {
	p := partOf(t, placed)
	at := strings.Index(placed, "F,8")
	notes, groups := p.Placings(score.Span{Start: at, End: at + 1})
	require.Len(t, groups, 1)
	require.Len(t, notes, 1)
	assert.Equal(t, "left hand", notes[0].Hand)
	notes, groups = p.Placings(score.Span{Start: 0, End: 3})
	assert.Empty(t, notes)
	assert.Empty(t, groups)
}

func TestPlacingAt(t *testing.T) {
	p := partOf(t, placed)
	notes, group, ok := p.PlacingAt(strings.Index(placed, "Gc"))
	require.True(t, ok)
	assert.Equal(t, "right hand", group.Hand)
	require.GreaterOrEqual(t, len(notes), 4)
	_, _, ok = p.PlacingAt(0)
	assert.False(t, ok)
}

// Each setting is the one before with its moves made, and the plan agrees.
func TestSettingChanges(t *testing.T) {
	p := partOf(t, placed)
	changes := p.SettingChanges()
	require.Len(t, changes, 2)
	assert.Empty(t, changes[0].Moves)
	assert.Equal(t, feet.Sharp, changes[0].Setting[feet.F], "F is sharp before the piece: its first note wants it so")
	require.Len(t, changes[1].Moves, 1)
	m := changes[1].Moves[0]
	assert.Equal(t, "F♮ (from F♯)", moveWords(m))
	assert.Equal(t, strings.Index(placed, "F,8"), changes[1].Note.Span.Start)
	assert.Equal(t, p.Pedals.Plan.SettingAt(m.Deadline), changes[1].Setting)
	assert.Equal(t, p.Pedals.Plan.Final, changes[1].Setting)
}

// Placings are found by where they stand as by going through them all.
func TestPlacingsAreFoundByPlace(t *testing.T) {
	for _, name := range []string{"ferry-at-dusk", "harbour-lights", "morning-crossing"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", name+".abc"))
		require.NoError(t, err)
		p := partOf(t, string(text))
		everything := score.Span{Start: 0, End: len(text)}
		all, groups := p.Placings(everything)
		assert.ElementsMatch(t, p.Pedals.Plan.Moves, p.MovesIn(everything))
		for _, m := range p.Pedals.Plan.Moves {
			assert.Contains(t, p.MovesIn(p.Pedals.Note(m.Demand).Span), m)
		}
		total := 0
		for _, h := range p.Played {
			if h != nil {
				total += len(h.Solution.Placings)
			}
		}
		assert.Len(t, groups, total)
		for i, n := range all {
			notes, group, ok := p.PlacingAt(n.Start)
			require.True(t, ok)
			assert.Equal(t, groups[n.Placing].Span, group.Span)
			assert.Len(t, notes, len(groups[n.Placing].Notes))
			some, _ := p.Placings(n.Span)
			assert.Contains(t, spansOf(some), n.Span, "%s, note %d", name, i)
			assert.Less(t, len(some), 40)
		}
	}
}

func spansOf(notes []PlacedNote) (spans []score.Span) {
	for _, n := range notes {
		spans = append(spans, n.Span)
	}
	return spans
}
