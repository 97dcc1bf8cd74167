package fix_test

import (
	"fmt"
	"math/rand"
	"os"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/analysis/fix"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// ornaments are the marks that a family may take away or set.
var ornaments = map[string][]string{
	"roll": {"arpeggio"}, "grace": {"arpeggio"}, "together": {"arpeggio", "trill"}, "strokes": {"/", "//", "///", "////"},
	"tremolo": {"/", "//", "///", "////", "trem1", "trem2", "trem3", "trem4"},
}

// checkText holds a fix to what it must keep of the text: marks, slurs, words under
// notes, and, where notes only change their pitch, every other byte.
func checkText(t *testing.T, text, after []byte, was, is *score.Tune, fx fix.Fix, label string) {
	if fx.Family != "marks" { // which are what it changes
		assert.Equal(t, hanging(was, ornaments[fx.Family]), hanging(is, ornaments[fx.Family]), label)
	}
	assert.Equal(t, sung(text, was), sung(after, is), label)
	switch fx.Family {
	case "reorder", "other-end", "octave", "respell", "passage", "two-strings", "voicing":
		assert.Equal(t, withoutHeads(text, was), withoutHeads(after, is), label)
	case "roll":
		assert.Equal(t, string(text), strings.ReplaceAll(string(after), "!arpeggio!", ""), label)
	}
}

// hanging lists what hangs on notes, rests and bar lines: voice, layer, bar and place
// with each mark and slur. Slurs of the marks left out do not count.
func hanging(t *score.Tune, out []string) (all []string) {
	add := func(v, b int, place string, marks []score.Mark) {
		for _, m := range marks {
			if m.Kind != score.Decoration || !contains(out, m.Text) {
				all = append(all, fmt.Sprintf("%d %d %s %d%c%s", v, b, place, m.Kind, m.Place+' ', m.Text))
			}
		}
	}
	for v, voice := range t.Voices {
		for b := range voice.Bars() {
			for _, ev := range voice.Bars()[b].Events() {
				place := fmt.Sprintf("%d %v", ev.Layer, ev.Onset)
				add(v, b, place, ev.Marks)
				if ev.SlurOpen+ev.SlurClose > 0 {
					all = append(all, fmt.Sprintf("%d %d %s (%d)%d", v, b, place, ev.SlurOpen, ev.SlurClose))
				}
			}
			add(v, b, "|", voice.Bars()[b].Close().Marks)
		}
	}
	sort.Strings(all)
	return all
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// sung lists the places of the notes that have words under their line.
func sung(text []byte, t *score.Tune) (all []string) {
	f := syntax.Parse(text)
	for v, voice := range t.Voices {
		for b := range voice.Bars() {
			for _, ev := range voice.Bars()[b].Events() {
				line := f.LineAt(voice.Bars()[b].Start + ev.Span.Start)
				if ev.Kind == score.Sound && line+1 < f.Lines() && f.Line(line+1).Kind == syntax.FieldLine && f.Line(line+1).Field == 'w' {
					all = append(all, fmt.Sprintf("%d %d %d %v", v, b, ev.Layer, ev.Onset))
				}
			}
		}
	}
	return all
}

// withoutHeads is a text without the accidentals, letters and octave marks of a tune's
// notes.
func withoutHeads(text []byte, t *score.Tune) string {
	var heads []score.Span
	for _, voice := range t.Voices {
		for b := range voice.Bars() {
			for _, ev := range voice.Bars()[b].Events() {
				for _, n := range ev.Notes {
					heads = append(heads, n.Head.Shift(voice.Bars()[b].Start))
				}
				for _, g := range ev.Graces {
					for _, n := range g.Notes {
						heads = append(heads, n.Head.Shift(voice.Bars()[b].Start))
					}
				}
			}
		}
	}
	sort.Slice(heads, func(i, j int) bool { return heads[i].Start < heads[j].Start })
	var out strings.Builder
	at := 0
	for _, h := range heads {
		if h.Start >= at {
			out.Write(text[at:h.Start])
			at = h.End
		}
	}
	out.Write(text[at:])
	return out.String()
}

// adorned sets marks, chord symbols, slurs, ties and odd blanks into a bar of music.
func adorned(rnd *rand.Rand, bar string) string {
	var out strings.Builder
	inside, slur := false, false
	for i, r := range bar {
		if r == '[' {
			inside = true
		}
		begins := !inside && strings.ContainsRune("ABCDEFGabcdefg", r) || r == '['
		if begins && (i == 0 || !strings.ContainsRune("^_=", rune(bar[i-1]))) {
			switch rnd.Intn(9) {
			case 0:
				out.WriteString([]string{`"Am"`, `"^dolce"`, "!accent!", ".", "!mf!", "!>!"}[rnd.Intn(6)])
			case 1:
				if !slur {
					out.WriteByte('(')
				}
				slur = true
			case 2:
				out.WriteString(" ")
			}
		}
		out.WriteRune(r)
		if r == ']' {
			inside = false
		}
		if slur && r == ' ' {
			slur = false
			text := strings.TrimRight(out.String(), " ")
			out.Reset()
			out.WriteString(text + ") ")
		}
	}
	text := out.String()
	if slur {
		text += ")"
	}
	return text
}

// TestFixesKeepTheText takes every fix of figures made by chance, with marks, slurs,
// chord symbols and words about them.
func TestFixesKeepTheText(t *testing.T) {
	rnd := rand.New(rand.NewSource(1803))
	figures, fixes := 40, 0
	if os.Getenv("FOURFOLD_CORPUS") != "" {
		figures = 250
	}
	for range figures {
		right, left := awkwardBar(rnd)
		right = adorned(rnd, right)
		if rnd.Intn(3) == 0 {
			right += " |\nw:one two three four five six seven eight nine ten"
		} else {
			right += " | ^F4 =F4 _E4 E4"
		}
		text := []byte(strings.ReplaceAll(awkwardPart(84+4*rnd.Intn(16), right, adorned(rnd, left)), "ten |", "ten"))
		fixes += holdAll(t, text)
	}
	assert.Positive(t, fixes)
	t.Logf("%d fixes kept the text", fixes)
}
