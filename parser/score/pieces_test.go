package score

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/parser/syntax"
)

// A bar's pieces are its own lines, also where the staves take turns line by line or
// inside a line.
func TestPieces(t *testing.T) {
	text := []byte("X:1\nM:4/4\nL:1/4\nV:RH\nV:LH clef=bass\nK:C\n" +
		"[V:RH] CDEF | GA\n%half a bar\nBc|\nw: la\n[V:LH] C,4|D,4|\n[V:RH] defg|cBAG|[V:LH] E,4|Z|\nV:RH\ncccc\nV:LH\nG,4|\n")
	tune := Build(syntax.Parse(text)).Tunes[0]
	for i, want := range [][][]string{
		{{"CDEF |"}, {" GA", "Bc|"}, {"defg|"}, {"cBAG|"}, {"cccc"}},
		{{"C,4|"}, {"D,4|"}, {"E,4|"}, {"Z|"}, {"G,4|"}},
	} {
		var got [][]string
		for b := range tune.Voices[i].Bars() {
			var bar []string
			for _, s := range tune.Voices[i].Bars()[b].Pieces(text) {
				bar = append(bar, string(text[s.Start:s.End]))
			}
			got = append(got, bar)
		}
		assert.Equal(t, want, got)
	}
	assert.Empty(t, tune.Voices[0].Bars()[0].Pieces(nil), "of another text")
}
