package analysis_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/analysis/rules"
)

// What tires is a hint with its figures and the caution, and a rest now and then takes it
// away.
func TestTiring(t *testing.T) {
	tests := []struct {
		what, bar   string // a bar of the right hand
		bars, tempo int
		says        string // "" where nothing tires
	}{
		{"quick for long", "CEGc DFAd CEGc DFAd", 40, 100, `9\d s without a rest of a second, at 6\.\d strokes a second`},
		{"quick for many bars", "CEGc DFAd CEGc DFAd", 18, 110, `18 bars without a rest of a second, at 7\.\d strokes a second`},
		{"slow for very long", "C4 E4 G4 c4", 60, 110, `1\d\d s without a rest of a second`},
		{"chords of four", "[CEGc]4 [DFAd]4 [CEGc]4 [DFAd]4", 8, 100, `3\d four-note chords`},
		{"wide groups in a row", "[Ce]4 [Df]4 [Eg]4 [Df]4", 5, 100, `20 groups wider than an octave in a row`},
		{"a few bars", "CEGc DFAd CEGc DFAd", 6, 100, ""},
	}
	for _, tt := range tests {
		t.Run(tt.what, func(t *testing.T) {
			found := func(bar string, rests int) (messages []string) {
				rh := strings.Repeat(bar+" | ", tt.bars)
				if rests > 0 {
					rh = strings.Repeat(strings.Repeat(bar+" | ", rests-1)+"z16 | ", tt.bars/rests)
				}
				text := fmt.Sprintf("X:1\nT:t\nM:4/4\nL:1/16\nQ:1/4=%d\n%%%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n%s\nV:LH\n%s\n",
					tt.tempo, rh, strings.Repeat("z16 | ", tt.bars))
				for _, f := range read(t, text).Findings() {
					if f.Rule == "hands/tiring" {
						assert.Equal(t, rules.Hint, f.Severity)
						assert.Contains(t, f.Message, "stop at pain")
						messages = append(messages, f.Message)
					}
				}
				return messages
			}
			got := found(tt.bar, 0)
			if tt.says == "" {
				assert.Empty(t, got)
				return
			}
			if assert.Len(t, got, 1) {
				assert.Regexp(t, tt.says, got[0])
			}
			assert.Empty(t, found(tt.bar, 3), "a bar of rest after every two")
		})
	}
}
