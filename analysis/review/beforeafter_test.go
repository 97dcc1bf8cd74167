package review

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// told writes stretches in one line each, what changes in braces.
func told(list []Stretch) (out []string) {
	for _, s := range list {
		line := s.Where + ":"
		for _, p := range s.Parts {
			if p.Changed {
				p.Text = "{" + p.Text + "}"
			}
			line += p.Text
		}
		out = append(out, line)
	}
	return out
}

func TestChangesShowTheirBarsAlone(t *testing.T) {
	text := "X:1\nM:4/4\nL:1/4\nQ:1/4=90\n%%score {RH LH}\nV:RH\nV:LH clef=bass\nK:C\n" +
		"V:RH\nCDEF|GABc|\ndefg|cBAG|\nV:LH\nC,4|D,4|E,4|F,4|\n"
	head := strings.Index(text, "CDEF")
	place := func(what string) int {
		if i := strings.Index(text[head:], what); i >= 0 {
			return head + i
		}
		return strings.Index(text, what)
	}
	edit := func(old, new string) score.Edit {
		return score.Edit{Span: score.Span{Start: place(old), End: place(old) + len(old)}, Text: new}
	}
	insert := func(before, new string) score.Edit {
		return score.Edit{Span: score.Span{Start: place(before), End: place(before)}, Text: new}
	}
	for name, c := range map[string]struct {
		edits         []score.Edit
		before, after []string
	}{
		"one bar":                   {[]score.Edit{edit("A", "z")}, []string{":G{A}Bc|"}, []string{":G{z}Bc|"}},
		"two bars in a row":         {[]score.Edit{edit("E", "z"), edit("A", "z")}, []string{":CD{E}F|G{A}Bc|"}, []string{":CD{z}F|G{z}Bc|"}},
		"over the end of a line":    {[]score.Edit{edit("A", "z"), edit("e", "z")}, []string{":G{A}Bc|\nd{e}fg|"}, []string{":G{z}Bc|\nd{z}fg|"}},
		"bars between them":         {[]score.Edit{edit("E", "z"), edit("f", "z")}, []string{"RH, bar 1:CD{E}F|", "RH, bar 3:de{f}g|"}, []string{"RH, bar 1:CD{z}F|", "RH, bar 3:de{z}g|"}},
		"both staves":               {[]score.Edit{edit("A", "z"), edit("D,4", "A,4")}, []string{"RH, bar 2:G{A}Bc|", "LH, bar 2:{D,4}|"}, []string{"RH, bar 2:G{z}Bc|", "LH, bar 2:{A,4}|"}},
		"added before the bar line": {[]score.Edit{insert("|D,4", "&xA,3")}, []string{":C,4|"}, []string{":C,4{&xA,3}|"}},
		"outside the music":         {[]score.Edit{edit("90", "60")}, []string{":Q:1/4={90}"}, []string{":Q:1/4={60}"}},
		"a tempo and a bar":         {[]score.Edit{edit("A", "z"), edit("90", "60")}, []string{":Q:1/4={90}", "RH, bar 2:G{A}Bc|"}, []string{":Q:1/4={60}", "RH, bar 2:G{z}Bc|"}},
		"over a bar line":           {[]score.Edit{edit("F|G", "G|F")}, []string{":CDE{F|G}ABc|"}, []string{":CDE{G|F}ABc|"}},
	} {
		t.Run(name, func(t *testing.T) {
			tune := score.Build(syntax.Parse([]byte(text))).Tunes[0]
			before, after := changes([]byte(text), rules.Players(tune)[0].Voices(), c.edits)
			assert.Equal(t, c.before, told(before))
			assert.Equal(t, c.after, told(after))
		})
	}
}

// Where the staves take turns line by line, or inside a line, each voice shows its own
// lines and no other's.
func TestBarsOfOneVoice(t *testing.T) {
	text := "X:1\nM:4/4\nL:1/4\n%%score {RH LH}\nV:RH\nV:LH clef=bass\nK:C\n" +
		"[V:RH] CDEF | GA\n%half a bar\nBc|\nw: la\n[V:LH] C,4|D,4|\n[V:RH] defg|cBAG|[V:LH] E,4|F,4|\nV:RH\ncccc|\nV:LH\nG,4|\n"
	tune := score.Build(syntax.Parse([]byte(text))).Tunes[0]
	rh, lh := tune.Voices[0], tune.Voices[1]
	for _, c := range []struct {
		voice    *score.Voice
		from, to int
		want     string
	}{
		{rh, 1, 1, "CDEF |"}, {rh, 2, 2, "GA\nBc|"}, {rh, 1, 2, "CDEF | GA\nBc|"}, {rh, 3, 3, "defg|"}, {rh, 2, 4, "GA\nBc|\ndefg|cBAG|"}, {rh, 5, 5, "cccc|"},
		{lh, 1, 2, "C,4|D,4|"}, {lh, 3, 4, "E,4|F,4|"}, {lh, 5, 5, "G,4|"}, {lh, 2, 5, "D,4|\nE,4|F,4|\nG,4|"},
	} {
		assert.Equal(t, c.want, barsText([]byte(text), c.voice, c.from, c.to), "%s, bars %d to %d", c.voice.ID, c.from, c.to)
	}
	at := strings.Index(text, "defg")
	edits := []score.Edit{{Span: score.Span{Start: at, End: at + 1}, Text: "z"}}
	before, after := changes([]byte(text), tune.Voices, edits)
	assert.Equal(t, []string{":{d}efg|"}, told(before))
	assert.Equal(t, []string{":{z}efg|"}, told(after))
	assert.Contains(t, excerpt([]byte(text), tune, tune.Voices, 3, 3), "K:C\nV:RH\nL:1/4\nK:C\ndefg|\nV:LH")
}
