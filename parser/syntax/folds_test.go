package syntax

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

const folded = `%abc-2.1
%%titlefont Serif
M:4/4

% one
% two

X:1
T:Folds
V:RH
V:LH
K:C
P:A
V:RH
CDEF|
GABc|
V:LH
C4|
P:B
V:RH
C4|
%%begintext
words
%%endtext

X:2
K:C
C|
`

func TestFolds(t *testing.T) {
	var got [][2]string
	lines := strings.Split(folded, "\n")
	for _, f := range Parse([]byte(folded)).Folds() {
		got = append(got, [2]string{lines[f.First], lines[f.Last]})
		assert.Equal(t, lines[f.First] == "% one", f.Remarks)
	}
	assert.Equal(t, [][2]string{
		{"%abc-2.1", "M:4/4"}, {"% one", "% two"}, {"X:1", "%%endtext"}, {"X:1", "K:C"}, {"P:A", "C4|"},
		{"V:RH", "GABc|"}, {"V:LH", "C4|"}, {"P:B", "%%endtext"}, {"V:RH", "%%endtext"}, {"%%begintext", "%%endtext"},
		{"X:2", "C|"}, {"X:2", "K:C"},
	}, got)
}

// Whatever the text, folds lie in the file, have two lines at least, and are
// nested or apart but where a P: line starts inside a voice.
func TestFoldsOfAnyText(t *testing.T) {
	pieces := []string{"X:1\n", "K:C\n", "V:1\n", "P:A\n", "CDEF|\n", "\n", "% r\n", "%%begintext\n", "%%endtext\n", "[V:2] C|\n", "words\n", "\r", "V:"}
	r := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		var b strings.Builder
		for range r.IntN(20) {
			b.WriteString(pieces[r.IntN(len(pieces))])
		}
		f := Parse([]byte(b.String()))
		before := -1
		for _, fold := range f.Folds() {
			assert.Less(t, fold.First, fold.Last)
			assert.Less(t, fold.Last, f.Lines())
			assert.GreaterOrEqual(t, fold.First, before)
			before = fold.First
		}
		for i := range f.Lines() {
			if first, last, ok := f.VoiceRun(i); ok {
				assert.LessOrEqual(t, first, i)
				assert.GreaterOrEqual(t, last, i)
			}
		}
	}
}

func TestVoiceRun(t *testing.T) {
	f := Parse([]byte(folded))
	first, last, ok := f.VoiceRun(15)
	assert.True(t, ok)
	assert.Equal(t, []int{13, 15}, []int{first, last})
	_, _, ok = f.VoiceRun(8)
	assert.False(t, ok, "a header holds no voice's music")
}
