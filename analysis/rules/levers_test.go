package rules

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

func TestLevers(t *testing.T) {
	for name, c := range map[string]struct{ right, left, rule, says string }{
		"no D flat":                 {"_D4 |", "z4 |", leverTuningName, "D♮ and D♯ only"},
		"octaves are independent":   {"F4 | ^f4 |", "z4 | z4 |", "", ""},
		"one string in two forms":   {"F4 |", "^F4 |", leverTuningName, "up and down at once"},
		"the left hand is free":     {"F4 | ^F4 |", "z4 | z4 |", "", ""},
		"neither hand is free":      {"F/4G/4^F/4G/4 G3 |", "C,/4D,/4C,/4D,/4 C,3 |", leverNoHandName, "lever of F4"},
		"a pedal harp's rules rest": {"[F^f]4 |", "z4 |", "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			text := []byte("X:1\nM:4/4\nL:1/4\nQ:1/4=60\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n" + c.right + "\nV:LH\n" + c.left + "\n")
			set := Defaults()
			require.NoError(t, set.Set("instrument", "lever36"))
			parts, found, err := RunTune(t.Context(), text, score.Build(syntax.Parse(text)).Tunes[0], set)
			require.NoError(t, err)
			require.Len(t, parts, 1)
			var about []Finding
			for _, f := range found {
				if f.Rule == leverTuningName || f.Rule == leverNoHandName || f.Rule == twoAtOnceName {
					about = append(about, f)
				}
			}
			if c.rule == "" {
				assert.Empty(t, about)
				return
			}
			require.Len(t, about, 1)
			assert.Equal(t, c.rule, about[0].Rule)
			assert.Contains(t, about[0].Message, c.says)
		})
	}
}

// A key that the tuning does not reach is one finding, not one a note; the keys that it
// does are those from E flat to E, by the levers (tuning in E flat: an examination
// board's harp syllabus).
func TestKeyOutOfReachIsSaidOnce(t *testing.T) {
	text := []byte("X:1\nM:4/4\nL:1/4\nQ:1/4=60\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:Db\nV:RH\nD G A D | D =D =A B |\nV:LH\nz4 | z4 |\n")
	set := Defaults()
	require.NoError(t, set.Set("instrument", "lever36"))
	_, found, err := RunTune(context.Background(), text, score.Build(syntax.Parse(text)).Tunes[0], set)
	require.NoError(t, err)
	var about []string
	for _, f := range found {
		if f.Rule == leverTuningName {
			about = append(about, f.Message)
		}
	}
	assert.Equal(t, []string{"The key here has D♭ and G♭, which the levers do not reach: from this tuning they give E♭, B♭, F, C, G, D, A and E major."}, about)
}
