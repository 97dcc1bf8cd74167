package feet

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParsePitches(t *testing.T) {
	tests := []struct {
		text  string
		names []string
	}{
		{"B D F Ab", []string{"B", "D", "F", "Ab"}},
		{"b,d, f;ab", []string{"B", "D", "F", "Ab"}},
		{"bb B♭ C♯ Fx E## Ebb D♮", []string{"Bb", "Bb", "C#", "F##", "E##", "Ebb", "D"}},
		{"D C# Bb | E F G A", []string{"D", "C#", "Bb", "E", "F", "G", "A"}},
		{"", nil},
		{" , ", nil},
	}
	for _, tt := range tests {
		pitches, err := ParsePitches(tt.text)
		require.NoError(t, err, tt.text)
		var names []string
		for _, p := range pitches {
			names = append(names, p.Name)
		}
		assert.Equal(t, tt.names, names, tt.text)
	}
	for _, bad := range []string{"H", "C#b", "CE", "C###", "♭", "1", "Do"} {
		_, err := ParsePitches("A " + bad)
		require.Error(t, err, bad)
		assert.Contains(t, err.Error(), "is not the name of a pitch; write")
	}
}

func TestEnharmonicsAreTheSame(t *testing.T) {
	for _, pair := range [][2]string{{"C#", "Db"}, {"B#", "C"}, {"Cb", "B"}, {"Fx", "G"}, {"Ebb", "D"}, {"E#", "F"}} {
		assert.Equal(t, set(t, pair[0]), set(t, pair[1]), pair)
	}
}

func TestImpossible(t *testing.T) {
	tests := []struct{ pitches, clash string }{
		{"B D F Ab", ""},
		{"G G# A", "G G# A"},
		{"C E A Ab G", "A Ab G"},
		{"Ab G# G A", "Ab G A"},
		{"D Eb E F", "D Eb E F"},
		{"C Db D Eb E F Gb G Ab A Bb B", "G Ab A"},
		{"", ""},
	}
	for _, tt := range tests {
		pitches, err := ParsePitches(tt.pitches)
		require.NoError(t, err)
		names := ""
		for _, p := range Impossible(pitches) {
			if names != "" {
				names += " "
			}
			names += p.Name
		}
		assert.Equal(t, tt.clash, names, tt.pitches)
	}
}

// A clash is impossible, and no note of it can be spared.
func TestImpossibleIsLeast(t *testing.T) {
	for s := PitchSet(1); s < 1<<12; s += 5 {
		var pitches []Pitch
		for class, name := range roots {
			if s&(1<<class) != 0 {
				pitches = append(pitches, Pitch{Name: name, Class: class})
			}
		}
		clash := Impossible(pitches)
		if len(clash) == 0 {
			require.Positive(t, Containing(s))
			continue
		}
		require.Zero(t, SetOf(clash)&^s)
		for class := range 12 {
			if SetOf(clash)&(1<<class) != 0 {
				require.Positive(t, Containing(SetOf(clash)&^(1<<class)))
			}
		}
	}
}

func TestParseSetting(t *testing.T) {
	var n int
	settings(func(s Setting) {
		n++
		back, err := ParseSetting(s.String())
		require.NoError(t, err)
		require.Equal(t, s, back)
	})
	assert.Equal(t, 2187, n)
	s, err := ParseSetting("d♯ c b♭/e f g a♮")
	require.NoError(t, err)
	assert.Equal(t, "D# C Bb | E F G A", s.String())
	for _, bad := range []string{"", "D C B", "D C B | E F G A A", "D C B | E F G Ax", "D C B | E F G H"} {
		_, err := ParseSetting(bad)
		assert.Error(t, err, bad)
	}
	assert.Equal(t, "D? C? B? | E? F? G? A?", AllFree().String())
}
