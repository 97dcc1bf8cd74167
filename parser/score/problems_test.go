package score

import (
	"fmt"
	"strings"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// found lists the problems of a text as `rule "the text they point at"`.
func found(text string) string {
	var out []string
	s := Build(syntax.Parse([]byte(text)))
	all := s.Problems
	for _, t := range s.Tunes {
		all = append(all, t.Problems...)
	}
	for _, p := range all {
		out = append(out, fmt.Sprintf("%s %q", strings.TrimPrefix(p.Rule, "notation/"), text[p.Span.Start:p.Span.End]))
	}
	return strings.Join(out, ", ")
}

const two = "X:1\nM:4/4\nL:1/4\nV:R\nV:L\nK:C\n"

func TestProblems(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"nothing", head + "CDEF|GABc|", ""},
		{"bar too short", head + "C4|CDE|C4|C4|", `bar-length "|"`},
		{"bar too long: what is too much", head + "C4|CDEFGA|C4|C4|", `bar-length "GA"`},
		{"first bar too long", head + "CDEFG|C4|", `bar-length "G"`},
		{"pickup", head + "C|C4|C3|", ""},
		{"bar cut by a repeat", head + "C|C4|C3:|:C|C4|C3:|", ""},
		{"endings", head + "|:C4|1CDE:|2C4|C4|", ""},
		{"free meter", "X:1\nM:none\nK:C\nC|CDE|C|", ""},
		{"a bar being typed", head + "C4|CD", ""},
		{"rests of measures", head + "Z4|C4|", ""},
		{"cut in two by all voices", two + "[V:R]C4|C3|C|C4|\n[V:L]C4|C3|C|C4|", ""},
		{"cut in two by one", two + "[V:R]C4|C3|C|C4|\n[V:L]C4|C4|C4|C4|", `bar-length "|", bar-length "|"`},
		{"fewer bars", two + "[V:R]C4|C4|C4|\n[V:L]C4|C4|", `voice-length "C4"`},
		{"unlike pickups", two + "[V:R]C|C4|\n[V:L]C2|C4|", `voice-length "C"`},
		{"unlike bars in free meter", "X:1\nM:none\nL:1/4\nV:R\nV:L\nK:C\n[V:R]C4|C2|\n[V:L]C4|C3|", `voice-length "C2"`},
		{"tie to another pitch", head + "C2-D2|", `tie "-"`},
		{"tie into a rest", head + "C2-z2|", `tie "-"`},
		{"tie into nothing", head + "C4-|", `tie "-"`},
		{"tie of one note of a chord", head + "[C-E]2[DE]2|", `tie "-"`},
		{"tie after nothing", head + "-C4|", `tie "-"`},
		{"slur never closed", head + "(CDEF|", `unclosed "("`},
		{"slur never opened", head + "CDEF)|", `unclosed ")"`},
		{"slur from hand to hand", "X:1\nM:4/4\nL:1/4\n%%score {R L}\nV:R\nV:L\nK:C\n[V:R](CDEF|\n[V:L]CDE)F|", ""},
		{"chord never closed", head + "[CEG4|", `unclosed "["`},
		{"grace group never closed", head + "{cdC4|", `unclosed "{"`},
		{"quotation mark never closed", head + "\"Am C4|", `unclosed "\"Am"`},
		{"field never closed", head + "[K:D C4|", `unclosed "[K:D"`},
		{"closing what is not open", head + "C]D}EF|", `unclosed "]", unclosed "}"`},
		{"nothing to break on the right", head + "C2D2>|", `broken-rhythm ">"`},
		{"nothing to break on the left", head + ">C4|", `broken-rhythm ">"`},
		{"tuplet cut", head + "C2 (3DE|F G3|", `tuplet "(3"`},
		{"tuplet without its notes", head + "C2 (3DE", `tuplet "(3"`},
		{"tuplet of nothing", head + "(1C4|", `tuplet "(1"`},
		{"decoration unknown", head + "!fermate!C4|", `decoration "!fermate!"`},
		{"letter without a meaning", head + "hC4|", `decoration "h"`},
		{"field out of place", head + "C4|\nZ:me\nC4|", `field-place "me"`},
		{"field unknown", head + "C4|\nJ:me\nC4|", `field-place "me"`},
		{"K: missing", "X:1\nM:4/4\nL:1/4\nCDEF|\n", `field-place "CDEF|"`},
		{"+: after nothing", "+:a\n\nX:1\nK:C\n", `field-place "a"`},
		{"voice undeclared", two + "[V:R]C4|\n[V:L]C4|\n[V:X]C4|", `voice "X"`},
		{"%%score names a stranger", "X:1\nM:4/4\nL:1/4\n%%score {R L}\nV:R\nV:l\nK:C\n[V:R]C4|\n[V:l]C4|", `score-voice "L"`},
		{"accidental in force", head + "^F^F2F|", `accidental "^"`},
		{"accidental of the key", "X:1\nL:1/4\nK:G\n^FGAB|", `accidental "^"`},
		{"accidental that warns", head + "^F4|=F4|", ""},
		{"accidental in another octave", head + "^F^f2F|", ""},
		{"too many syllables", head + "CDEF|\nw:a b c d e f\n", `lyrics "a b c d e f"`},
		{"as many syllables", head + "CDEF|\nw:1. a-b c_\n", ""},
		{"verses", head + "CDEF|\nw:a b c d\nw:e f g h\nGABc|\nw:a b c d\n", ""},
		{"loose: blank before a tie", head + "C2 -C2|", `loose "-"`},
		{"loose: line break", head + "C4|!C4|", `loose "!"`},
		{"loose: tempo", "X:1\nL:1/8\nQ:120\nK:C\nC|", `loose "120"`},
		{"strict: tempo", "%abc-2.1\nX:1\nL:1/8\nQ:120\nK:C\nC|", `syntax "120"`},
		{"no tune", "hello\nworld\n", `syntax "hello"`},
		{"empty file", "", ""},
		{"length", head + "C4|C6//C0E3/2|C4|C4|", `syntax "0"`},
		{"bytes that mean nothing", head + "C4|C2\x00\xffC2|", `syntax "\x00\xff"`},
		{"accidental before nothing", head + "C4|C4^|", `syntax "^"`},
		{"meter", "X:1\nM:4/x\nK:C\nC|", `syntax "4/x"`},
		{"key", "X:1\nK:Cmojor\nC|", `syntax "Cmojor"`},
	} {
		t.Run(c.name, func(t *testing.T) { assert.Equal(t, c.want, found(c.text)) })
	}
}

// A fix mends its problem and brings no other.
func TestFixes(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{head + "!fermate!C4|", head + "!fermata!C4|"},
		{head + "^F^F2F|", head + "^FF2F|"},
		{head + "CDEF)|", head + "CDEF|"},
		{head + "[C E]4|", head + "[CE]4|"},
		{head + "C4|!C4|", head + "C4|$C4|"},
		{"X:1\nM:4/4\nL:1/4\nCDEF|\n", "X:1\nM:4/4\nL:1/4\nK:C\nCDEF|\n"},
		{"X:1\nL:1/8\nQ:C3=40\nK:C\nC|", "X:1\nL:1/8\nQ:3/8=40\nK:C\nC|"},
		{"X:1\nL:1/4\n%%score {R L}\nV:R\nV:l\nK:C\n[V:R]C|\n[V:l]C|", "X:1\nL:1/4\n%%score {R l}\nV:R\nV:l\nK:C\n[V:R]C|\n[V:l]C|"},
	} {
		t.Run(c.want, func(t *testing.T) {
			ps := Build(syntax.Parse([]byte(c.text))).Tunes[0].Problems
			require.Len(t, ps, 1)
			require.NotEmpty(t, ps[0].Fixes)
			text := c.text
			for _, e := range ps[0].Fixes[0].Edits {
				text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
			}
			assert.Equal(t, c.want, text)
			assert.Empty(t, found(text))
		})
	}
}

func TestMessages(t *testing.T) {
	s := Build(syntax.Parse([]byte(two + "[V:R]C4|C7/2|C4|C4|\n[V:L]C4|C4|C4|C4|")))
	require.Len(t, s.Tunes[0].Problems, 1)
	p := s.Tunes[0].Problems[0]
	assert.Equal(t, "Bar 2 of voice R holds 7/8, its meter 4/4 asks for 4/4: an eighth note is missing.", p.Message)
	assert.Equal(t, "R", p.Voice)
	assert.Equal(t, 2, p.Bar)
	s = Build(syntax.Parse([]byte("X:1\nM:4/4\nL:1/4\nK:C\n(3CD|CDEF|\n")))
	assert.Contains(t, s.Tunes[0].Problems[0].Message, "this bar lacks 1 of its 3 notes")
}
