package review

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/feet"
)

// TestPedalDiagram: flat above the line, natural on it, sharp below it, the
// divider after D C B (Sibelius Academy, "Pedal diagrams").
func TestPedalDiagram(t *testing.T) {
	set, err := feet.ParseSetting("D C# Bb | E F G A")
	require.NoError(t, err)
	got := string(pedalDiagram(settingAt{setting: set}, Diagram{Where: "before the piece", Words: "w"}))
	assert.Contains(t, got, `<path class="pd-line" d="M6 22H142"/>`)
	assert.Contains(t, got, `<path class="pd-line" d="M63 6L63 38"/>`)
	assert.Contains(t, got, `<title>D♮</title><path class="pd-tick" d="M15 16L15 28"/>`)
	assert.Contains(t, got, `<title>C♯</title><path class="pd-tick" d="M31 24L31 36"/>`)
	assert.Contains(t, got, `<title>B♭</title><path class="pd-tick" d="M47 8L47 20"/>`)
	assert.Contains(t, got, `<title>E♮</title><path class="pd-tick" d="M79 16L79 28"/>`)
}

// TestFeet: settings follow the moves and end where the plan ends; every move is
// drawn.
func TestFeet(t *testing.T) {
	text := "X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=120\nV:1 name=\"Harp\"\nK:C\nCDEF|^CDE^F|CDEF|^GABc|\n"
	s := newSheet(inputOf(t, text), Options{})
	sec := s.Sections[0]
	all := sec.footwork.settings()
	require.NotEmpty(t, sec.footwork.plan.Moves)
	assert.Equal(t, sec.footwork.plan.Initial, all[0].setting)
	assert.Equal(t, sec.footwork.plan.Final, all[len(all)-1].setting)
	_, html := pageOf(t, text, Options{})
	for _, m := range sec.footwork.plan.Moves {
		assert.Contains(t, html, sec.footwork.moveWords(m))
	}
	_, still := pageOf(t, "X:1\nT:t\nM:4/4\nL:1/4\nV:1 name=\"Harp\"\nK:C\nCDEF|\n", Options{})
	assert.Contains(t, still, "No pedal moves in the piece.")
}
