package syntax

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// After any edit, lines, starts and blocks are those of the new text read afresh.
func TestEditIsParse(t *testing.T) {
	pieces := []string{"%abc-2.1\n", "X:1\n", "X:2\n", "T:a\n", "K:C\n", "C D | E\n", "% remark\n", "%%begintext\n", "%%endtext\n", "\n", "\n",
		"free text\n", "w: la la\n", "V:1\n", "M:3/4\r\n", "C\r", "\r", "I:linebreak $\n", "CD", "%"}
	r := rand.New(rand.NewPCG(3, 4))
	some := func(most int) string {
		var b strings.Builder
		for range r.IntN(most + 1) {
			b.WriteString(pieces[r.IntN(len(pieces))])
		}
		return b.String()
	}
	for round := range 303 {
		text := some(20)
		if round >= 300 { // of many chunks of lines
			text = some(3000)
		}
		f := Parse([]byte(text))
		for range 8 {
			start := r.IntN(len(text) + 1)
			end := start + r.IntN(min(len(text)-start, max(12, len(text)/9))+1)
			insert := some(2)
			was := text
			text = text[:start] + insert + text[end:]
			f = f.Edit(start, end, []byte(insert))
			want := Parse([]byte(text))
			require.Equal(t, text, string(f.Text()))
			require.Equal(t, want.Lines(), f.Lines())
			for i := range want.Lines() + 1 {
				require.Equal(t, want.Start(i), f.Start(i), "%q, %d to %d: %q", was, start, end, insert)
			}
			for i := range want.Lines() {
				require.Equal(t, want.Line(i), f.Line(i), "%q, %d to %d: %q", was, start, end, insert)
			}
			require.Equal(t, want.blocks, f.blocks, "%q, %d to %d: %q", was, start, end, insert)
		}
	}
}
