package score

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Texts that no engraver writes: nothing panics, every byte stays, and the tune
// after the trouble is read.
func TestStress(t *testing.T) {
	many := func(s string, n int) string { return strings.Repeat(s, n) }
	var tunes strings.Builder
	for i := range 100_000 {
		fmt.Fprintf(&tunes, "X:%d\nK:C\nC|\n\n", i)
	}
	for _, c := range []struct{ name, body string }{
		{"a line of 1 MB", many("CDEF ", 200_000)},
		{"a line of 1 MB with bars", many("CDEFGABc|", 110_000)},
		{"brackets 10,000 deep", many("[", 10_000) + many("]", 10_000)},
		{"braces 10,000 deep", many("{", 10_000) + many("}", 10_000)},
		{"slurs 10,000 deep", many("(", 10_000) + "C" + many(")", 10_000)},
		{"tuplets 10,000 deep", many("(3", 10_000) + "CDE"},
		{"overlays", many("C&", 10_000)},
		{"far overlays", many("C|", 1000) + many("&&&&&&C|", 1000)},
		{"quotation marks", many("\"", 10_001)},
		{"escaped quotation marks", many("\"\\", 100_000)},
		{"exclamation marks", many("!", 100_001)},
		{"fields left open", many("[K:", 50_000)},
		{"endings left open", many("[\"a", 100_000)},
		{"one chord", "[" + many("C", 100_000) + "]"},
		{"one grace group", "{" + many("c", 100_000) + "}"},
		{"ties", many("C-", 100_000)},
		{"open ties", "[" + many("C-", 100_000) + "]" + many("D", 10_000)},
		{"accidentals", many("^", 100_000) + "C"},
		{"measure rests", many("Z4096|", 10_000)},
		{"voices", many("[V:a]C[V:b]C", 20_000)},
		{"keys", many("[K:D]F", 50_000)},
		{"NUL", many("\x00", 100_000)},
		{"invalid UTF-8", many("\xff\xfeC", 50_000)},
		{"CR", many("C\r", 100_000)},
		{"remarks", many("%\n", 100_000) + "C"},
		{"continuations", many("C\\\n", 50_000)},
		{"+: lines", "\nT:a\n" + many("+:a\n", 100_000)},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := []byte("X:1\nL:1/4\nK:C\n" + c.body + "\n\nX:2\nL:1/4\nK:C\nE4|\n")
			f := syntax.Parse(text)
			var b bytes.Buffer
			_, err := f.WriteTo(&b)
			require.NoError(t, err)
			require.True(t, bytes.Equal(text, b.Bytes()))
			tunes := Build(f).Tunes
			last := tunes[len(tunes)-1]
			assert.Equal(t, "2", last.Number)
			assert.Len(t, Notes(last), 1)
			require.NoError(t, WriteNotes(text, discard{}))
		})
	}
	t.Run("100,000 tunes", func(t *testing.T) {
		assert.Len(t, Build(syntax.Parse([]byte(tunes.String()))).Tunes, 100_000)
	})
}

// Every charset that the standard names, and bytes that are not what they claim.
func TestCharsets(t *testing.T) {
	for _, c := range []struct{ charset, title, want string }{
		{"utf-8", "Für Élise", "Für Élise"},
		{"us-ascii", "F\\\"ur \\'Elise", "Für Élise"},
		{"iso-8859-1", "F\xfcr \xc9lise", "Für Élise"},
		{"iso-8859-2", "\xa3\xf3d\xbc", "Łódź"},
		{"iso-8859-3", "\xc6u", "Ĉu"},
		{"iso-8859-4", "\xb9i", "ši"},
		{"iso-8859-5", "\xbc\xd8\xe0", "Мир"},
		{"iso-8859-6", "\xc7\xe4", "ال"},
		{"iso-8859-7", "\xc9\xf9", "Ιω"},
		{"iso-8859-8", "\xf9\xec", "של"},
		{"iso-8859-9", "\xdd\xfe", "İş"},
		{"iso-8859-10", "\xc8\xf0", "Čð"},
		{"utf-8", "F\xfcr", "Für"},
		{"utf-8", "Caf&eacute; &amp; \\u00e9\\ss \\aa", "Café & éß å"},
	} {
		t.Run(c.charset+" "+c.want, func(t *testing.T) {
			text := "%abc-2.1\nI:abc-charset " + c.charset + "\n\nX:1\nT:" + c.title + "\nK:C\nC"
			s := Build(syntax.Parse([]byte(text)))
			require.Len(t, s.Tunes, 1)
			assert.Equal(t, c.want, s.Tunes[0].Title)
		})
	}
}
