package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

func TestPlayers(t *testing.T) {
	for name, c := range map[string]struct{ header, want string }{
		"named and braced":          {"%%score Fl {R L}\nV:Fl nm=\"Flute\"\nV:R nm=\"Harp\"\nV:L\n", "Harp: R / L"},
		"other languages":           {"%%score {R L} {P Q}\nV:R snm=\"Hrf.\"\nV:L\nV:P name=\"Arpa\"\nV:Q\n", "Hrf.: R / L; Arpa: P / Q"},
		"two players":               {"%%score {A B} {C D}\nV:A nm=\"Harp 1\"\nV:B\nV:C nm=\"Harp 2\"\nV:D\n", "Harp 1: A / B; Harp 2: C / D"},
		"one and two in Roman":      {"%%score {A B} {C D}\nV:A nm=\"Harp I\"\nV:B\nV:C nm=\"Harp II\"\nV:D\n", "Harp I: A / B; Harp II: C / D"},
		"a forgotten brace":         {"V:A nm=\"Harp\"\nV:B clef=bass\n", "Harp: A / B"},
		"both staves named":         {"V:A nm=\"Harp\"\nV:B nm=\"Harp\"\n", "Harp: A / B"},
		"a harpsichord is no harp":  {"%%score {A B}\nV:A nm=\"Harpsichord\"\nV:B\n", ""},
		"a piano is no harp":        {"%%score {A B}\nV:A nm=\"Piano\"\nV:B\n", ""},
		"braced without a name":     {"%%score S {A B}\nV:S nm=\"Voice\"\nV:A\nV:B\n", ": A / B"},
		"braced, named as hands":    {"%%score {RH | LH}\nV:RH name=\"RH\"\nV:LH name=\"LH\"\n", ": RH / LH"},
		"two voices on a staff":     {"%%score {(A C) B}\nV:A nm=\"Harp\"\nV:B\nV:C\n", "Harp: A C / B"},
		"two staves and no name":    {"V:1\nV:2\n", ": 1 / 2"},
		"a lone staff":              {"", ": 1 / (lone)"},
		"a lone staff of the right": {"V:RH\n", ": RH / "},
		"a lone staff of the left":  {"V:LH\n", ":  / LH"},
		"a lone named staff":        {"V:1 nm=\"Violin\"\n", ""},
		"three staves and no name":  {"V:1\nV:2\nV:3\n", ""},
		"said in the file":          {"%%score A B C\n%%fourfold harp B C\nV:A nm=\"Harp\"\nV:B nm=\"Piano\"\nV:C\n", ": B / C"},
		"said twice":                {"%%fourfold harp A+A B A B\n%%fourfold harp B A\nV:A\nV:B\n", ": A / B"},
		"two voices said":           {"%%fourfold harp A+B C\nV:A\nV:B\nV:C\n", ": A B / C"},
	} {
		t.Run(name, func(t *testing.T) {
			voices := ""
			for _, v := range []string{"Fl", "S", "R", "L", "RH", "LH", "P", "Q", "A", "B", "C", "D", "1", "2", "3"} {
				if strings.Contains(c.header, "V:"+v+" ") || strings.Contains(c.header, "V:"+v+"\n") {
					voices += "[V:" + v + "] C |\n"
				}
			}
			if voices == "" {
				voices = "C |\n"
			}
			s := score.Build(syntax.Parse([]byte("X:1\nT:t\nL:1/1\n" + c.header + "K:C\n" + voices)))
			require.Len(t, s.Tunes, 1)
			assert.Equal(t, c.want, playersInWords(Players(s.Tunes[0])))
		})
	}
}

func playersInWords(players []Player) string {
	var words []string
	for _, p := range players {
		ids := func(voices []*score.Voice) string {
			var out []string
			for _, v := range voices {
				out = append(out, v.ID)
			}
			return strings.Join(out, " ")
		}
		w := p.Name + ": " + ids(p.Upper) + " / " + ids(p.Lower)
		if p.Lone {
			w += "(lone)"
		}
		words = append(words, w)
	}
	return strings.Join(words, "; ")
}
