package analysis_test

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/rules"
)

// figures are scores of the hands that hold no tempo change and lie well inside the harp.
var figures = []string{"turn", "turn-again", "restrike", "stretch", "reach", "tight", "too-many", "rests", "overlay", "shared-string"}

// handFindings lists what is found about hands: rule, severity and bar.
func handFindings(t *testing.T, text string) (out []string) {
	for _, f := range read(t, text).Findings() {
		if strings.HasPrefix(f.Rule, "hands/") && f.Rule != "hands/low" {
			out = append(out, fmt.Sprint(f.Rule, " ", f.Severity, " ", f.Bar, " ", f.Voice))
		}
	}
	return out
}

// speeds are the loads of the findings in which speed has a part.
func speeds(t *testing.T, text string) (out []float64) {
	for _, f := range read(t, text).Findings() {
		if strings.HasPrefix(f.Rule, "hands/") && f.Speed != nil {
			out = append(out, f.Speed.Load)
		}
	}
	return out
}

func figure(t *testing.T, name string) string {
	text, err := os.ReadFile("../testdata/rules/" + name + ".abc")
	require.NoError(t, err)
	return regexp.MustCompile(`(?m)^%~.*\n`).ReplaceAllString(string(text), "")
}

// Changes to a score that change nothing for the hands.
func TestWhatChangesNothing(t *testing.T) {
	changes := map[string]func(string) string{
		"an octave higher": func(s string) string {
			return strings.NewReplacer(`name="Harp"`, `name="Harp" octave=1`, "clef=bass", "clef=bass octave=1").Replace(s)
		},
		"longer notes at a quicker tempo": func(s string) string {
			s = strings.NewReplacer("L:1/8", "L:1/4", "L:1/16", "L:1/8", "M:4/4", "M:8/4").Replace(s)
			return regexp.MustCompile(`Q:1/4=(\d+)`).ReplaceAllString(s, "Q:1/2=$1")
		},
		"chords from the highest note down": func(s string) string {
			note := regexp.MustCompile(`[_^=]*[A-Ga-g][,']*`)
			chord := regexp.MustCompile(`\[([_^=A-Ga-g,']+)\]`)
			return chord.ReplaceAllStringFunc(s, func(c string) string {
				turned := "]"
				for _, n := range note.FindAllString(c[1:len(c)-1], -1) {
					turned = n + turned
				}
				return "[" + turned
			})
		},
	}
	for _, name := range figures {
		text := figure(t, name)
		want := handFindings(t, text)
		assert.NotEmpty(t, want, name)
		for what, change := range changes {
			assert.Equal(t, want, handFindings(t, change(text)), "%s, %s", name, what)
			assert.InDeltaSlice(t, speeds(t, text), speeds(t, change(text)), 1e-6, "%s, %s", name, what)
		}
	}
}

// At half the tempo every load is half as large, as long as no gap becomes a second.
func TestHalfTheTempoIsHalfTheLoad(t *testing.T) {
	text := figure(t, "turn-again")
	quick := read(t, text).Findings()
	slow := read(t, strings.Replace(text, "Q:1/4=150", "Q:1/4=75", 1)).Findings()
	require.NotEmpty(t, quick)
	for _, f := range quick {
		require.NotNil(t, f.Speed)
		assert.Greater(t, f.Speed.Load, 1.0)
		assert.Less(t, f.Speed.HoldsUpTo, 150.0)
	}
	for _, f := range slow {
		assert.Greater(t, f.Severity, rules.Warning)
	}
}
