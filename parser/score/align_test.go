package score

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/syntax"
)

// aligned sets the whole text.
func aligned(text string) string {
	f := syntax.Parse([]byte(text))
	return string(Apply([]byte(text), Align(f, 0, f.Lines())))
}

func TestAlign(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"voices in turn", `X:1
K:C
[V:RH] FAfc FAfc | f8 |
[V:LH2]    F,16|z16 |]
`, `X:1
K:C
[V:RH]  FAfc FAfc | f8   |
[V:LH2] F,16      | z16 |]
`},
		{"under V: lines, with words", `X:1
K:C
V:RH
"é"C|D E F G|
w: one two
% remark
V:LH
C,2 D,2 | G,2   |: A, :|
V:RH
C|
V:RH
D   |
`, `X:1
K:C
V:RH
"é"C    | D E F G|
w: one two
% remark
V:LH
C,2 D,2 | G,2   |: A, :|
V:RH
C|
V:RH
D   |
`},
		{"one voice", "X:1\nK:C\nC|D\nCCC  |D\n", "X:1\nK:C\nC|D\nCCC  |D\n"},
		{"endings and a bar line that starts a line", "X:1\nK:C\n[V:1]|:C|1 D:|2 E|]\n[V:2] C C C |1 D D :|2 E |]\n",
			"X:1\nK:C\n[V:1] |:C   |1 D   :|2 E |]\n[V:2] C C C |1 D D :|2 E |]\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := aligned(c.text)
			assert.Equal(t, c.want, got)
			assert.Equal(t, got, aligned(got))
			assert.True(t, SameNotes(c.text, got))
		})
	}
}

// Lines that are not understood, macros with blanks, and other lines than those
// asked for are left alone.
func TestAlignLeavesAlone(t *testing.T) {
	for _, text := range []string{
		"X:1\nK:C\n[V:1] C \"open | D |\n[V:2] CCC | D |\n",
		"X:1\nm:a | b=C\nK:C\n[V:1] C | D |\n[V:2] CCC | D |\n",
		"X:1\nK:C\n[V:1] C [V:3] | D |\n[V:2] CCC | D |\n",
		"X:1\nK:C\n[V:1] C | D |\nP:A\n[V:2] CCC | D |\n",
	} {
		assert.Equal(t, text, aligned(text))
	}
	text := "X:1\nK:C\n[V:1] C|\n[V:2] CCC|\n[V:1] C|\n[V:2] CCC|\n"
	f := syntax.Parse([]byte(text))
	assert.Equal(t, "X:1\nK:C\n[V:1] C|\n[V:2] CCC|\n[V:1] C  |\n[V:2] CCC|\n", string(Apply([]byte(text), Align(f, 5, 5))))
}

// alignedWell asserts what holds of any text: no note changes, only blanks do, and
// what is aligned stays as it is.
func alignedWell(t *testing.T, text string) (changed bool) {
	got := aligned(text)
	if got == text {
		return false
	}
	blankless := strings.NewReplacer(" ", "", "\t", "", "\f", "", "\v", "")
	require.Equal(t, blankless.Replace(text), blankless.Replace(got))
	require.Equal(t, got, aligned(got), "again, %q", text)
	require.True(t, SameNotes(text, got), "%q became %q", text, got)
	return true
}

func TestAlignChangesNoNote(t *testing.T) {
	pieces := []string{"C", "d'2", "[CE]", "{g}", "(3abc", "z", "Z2", " ", "  ", "\t", "|", "|1", "[2", ":|", "|:", "||", "[|", "]", "\"Am\"", "\"",
		"!f!", "!", "[K:D]", "[V:1]", "[V:2]", "\n[V:1] ", "\n[V:2]", "\nV:1\n", "\nV:2\n", "&", "-", "a>b", "\\", "% x", "w: a b\n", "é", "^", "+", "xy", "\r\n[V:2]", "$", "1"}
	heads := []string{"X:1\nK:C\n", "X:1\nM:3/4\nL:1/16\nm:xy=ab\nK:Eb\n", "X:1\nI:linebreak !\nK:C\n", "%abc-2.1\nX:1\nV:1\nV:2\nK:C\n", "X:1\nm:x y=ab\nK:C\n"}
	r := rand.New(rand.NewPCG(7, 8))
	changed := 0
	for range 4000 {
		var b strings.Builder
		b.WriteString(heads[r.IntN(len(heads))])
		for range r.IntN(40) {
			b.WriteString(pieces[r.IntN(len(pieces))])
		}
		if alignedWell(t, b.String()) {
			changed++
		}
	}
	assert.Greater(t, changed, 300)
}

// The same on real scores: those of the repository, and a larger set where one is
// at hand.
func TestAlignChangesNoNoteOfRealScores(t *testing.T) {
	roots := []string{filepath.Join("..", "..", "testdata")}
	if corpus := os.Getenv("FOURFOLD_CORPUS"); corpus != "" {
		roots = append(roots, corpus)
	} else {
		t.Log("FOURFOLD_CORPUS is not set: only the repository's scores are aligned")
	}
	const most = 4000
	read := 0
	for _, root := range roots {
		err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".abc" || read >= most {
				return err
			}
			text, err := os.ReadFile(path)
			if err != nil || len(text) > 1<<20 {
				return err
			}
			read++
			alignedWell(t, string(text))
			return nil
		})
		require.NoError(t, err)
	}
	require.Positive(t, read)
	t.Log(fmt.Sprint(read, " scores"))
}

func FuzzAlign(f *testing.F) {
	f.Add("X:1\nK:C\n[V:1] |:C|1 D:|2 E|]\n[V:2] C C C |1 D D :|2 E |]\n")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) < 4096 {
			alignedWell(t, text)
		}
	})
}
