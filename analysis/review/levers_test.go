package review

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const leverScore = "X:1\nT:t\n%%fourfold instrument=lever34\nM:4/4\nL:1/8\nQ:1/4=100\n%%score {RH LH}\nV:RH clef=treble name=\"Harp\"\nV:LH clef=bass\nK:Eb\n" +
	"V:RH\nE2G2B2e2|F2=A2c2f2|^FAcA z4|=FAcA ^FAcA|_d8|\nV:LH\nE,4B,4|F,4C4|D,4z4|D,F,A,F, D,F,A,F,|E,8|\n"

// TestLevers: on a lever harp the page speaks of levers and not of pedals.
func TestLevers(t *testing.T) {
	page, html := pageOf(t, leverScore, Options{})
	for _, want := range []string{
		"The levers", "With every lever down this harp sounds C♮ D♮ E♭ F♮ G♮ A♭ B♭.",
		"A♮ on A4", "The levers before the piece, from the lowest string to the highest: 1 of 34 are up.",
		"The lever of A4 is up: it sounds A♮.",
		"The lever of A4 down, to A♭, for bar 3 beat 1½, with the left hand.",
		"The lever of F4 up, to F♯, for bar 4 beat 3; no hand is free for it.",
		"1 lever is up before the piece; the hands move 4 levers in it. For 1 of them no hand is free, first for bar 4.",
		"Lever moves", "no hand for the lever", "not in the tuning",
	} {
		assert.Contains(t, html, want)
	}
	assert.NotContains(t, html, "Pedal moves")
	assert.NotContains(t, html, "Seven pedals")
	assert.Equal(t, []int{4, 1, 2}, []int{page.Summary.Moves, page.Summary.Late, page.Summary.Feet})
	_, pedals := pageOf(t, demo(t, "ferry-at-dusk"), Options{})
	assert.NotContains(t, pedals, "The levers")
}

// TestGlissando: the hand's way over the strings is drawn, with the notes written
// inside it, and no jump beside it.
func TestGlissando(t *testing.T) {
	text := "X:1\nT:t\nM:4/4\nL:1/8\nQ:1/4=100\nV:RH name=\"Harp\"\nK:C\n!~(!CD/E/F/^F/G/A/!~)!c z2 [CEGceg]2|"
	s := newSheet(inputOf(t, text), Options{})
	sweeps := sweepsOf(s.Sections[0].part.Right)
	require.Len(t, sweeps, 1)
	assert.Len(t, sweeps[0].inside, 6)
	_, html := pageOf(t, text, Options{})
	assert.Contains(t, html, "Glissando of the right hand from C4 to C5, bar 1 beat 1: the hand sweeps over all strings between.")
	assert.Contains(t, html, "F♯4, swept by the right hand, bar 1 beat 2¼, part of finding")
	assert.Nil(t, sweepsOf(nil))
	_, plain := pageOf(t, "X:1\nT:t\nM:4/4\nL:1/8\nQ:1/4=100\nV:RH name=\"Harp\"\nK:C\n!~(!C2!~)!c''2 z2 [CEGceg]2|", Options{})
	assert.Contains(t, plain, "Glissando of the right hand")
	assert.NotContains(t, plain, "jump</text>")
}
