package score

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSignatures(t *testing.T) {
	for _, c := range []struct{ typed, part string }{
		{"K:", "tonic"}, {"K:B", "tonic"}, {"K:Bb", "tonic"}, {"K:Bb m", "mode"}, {"K:Bbdor", "mode"}, {"K:D ^f", "accidentals"}, {"K:D major cl", "clef="},
		{"K:C bass", "clef="}, {"K:C oct", "octave="}, {"K:C tr", "transpose="},
		{"Q:", "beat"}, {"Q:\"And", `"words"`}, {"Q:\"Andante\" 1/4", "beat"}, {"Q:1/4=", "number"}, {"Q:1/4=96", "number"},
		{"V:", "id"}, {"V:RH", "id"}, {"V:RH ", "name="}, {"V:RH name=\"Harp 1", "name="}, {"V:RH nm=x", "name="}, {"V:RH cl", "clef="}, {"V:RH clef=bass ", "subname="},
		{"V:RH st", "stem="},
	} {
		s, ok := SignatureOf(c.typed[0], c.typed[2:])
		require.True(t, ok)
		assert.Equal(t, c.part, s.Parts[s.Active].Name, c.typed)
		at := 2
		for _, p := range s.Parts {
			i := strings.Index(s.Label[at:], p.Name)
			require.GreaterOrEqual(t, i, 0, "%s in %s", p.Name, s.Label)
			at += i + len(p.Name)
		}
	}
	_, ok := SignatureOf('M', "")
	assert.False(t, ok)
}
