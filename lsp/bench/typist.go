package bench

import (
	"math/rand/v2"
	"strings"

	"fourfold/lsp/lsptest"
)

// Typist changes one letter of a score at a time, each time to a text that was
// not there before.
type Typist struct {
	r     *rand.Rand
	lines []string
}

// NewTypist starts from a score of Score.
func NewTypist(text string, seed uint64) *Typist {
	return &Typist{rand.New(rand.NewPCG(seed, 2)), strings.Split(text, "\n")}
}

// Text is the score after all edits.
func (t *Typist) Text() string { return strings.Join(t.lines, "\n") }

// letters are notes that may stand for one another.
var letters = []string{"CDEFGAB", "cdefgab"}

// Next gives an edit of one note, already made in the typist's own text: one
// letter for another, or a length added, which shifts the rest of the bar.
func (t *Typist) Next() lsptest.TextEdit {
	for {
		n := t.r.IntN(len(t.lines))
		l := t.lines[n]
		if !strings.HasPrefix(l, "[V:") {
			continue
		}
		const music = len("[V:RH] ")
		at := music + t.r.IntN(len(l)-music)
		for _, same := range letters {
			i := strings.IndexByte(same, l[at])
			if i < 0 {
				continue
			}
			key := string(same[(i+1+t.r.IntN(6))%7])
			if t.r.IntN(4) == 0 && len(l) < 400 {
				key = l[at:at+1] + "2"
			}
			t.lines[n] = l[:at] + key + l[at+1:]
			return lsptest.TextEdit{NewText: key, Range: lsptest.Range{
				Start: lsptest.Position{Line: n, Character: at},
				End:   lsptest.Position{Line: n, Character: at + 1}}}
		}
	}
}
