package rules_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// longTune writes some bars for a harp at random: mostly in the key, with accidentals,
// rests, repeats, endings, pedal marks and glissandi now and then.
func longTune(random *rand.Rand, bars int, accidentals float64) string {
	note := func(letters string, lowest int) string {
		s := ""
		if random.Float64() < accidentals {
			s = []string{"^", "_", "="}[random.IntN(3)]
		}
		s += string(letters[random.IntN(len(letters))])
		return s + strings.Repeat(",", lowest)
	}
	var right, left []string
	closing, repeated := "|", 0
	for b := range bars {
		r, l := "", ""
		switch random.IntN(8) {
		case 0:
			r = "z8"
		case 1:
			r = "[" + note("ceg", 0) + note("fa", 0) + "]4 " + note("cdefgab", 0) + "4"
		default:
			for range 4 {
				r += note("cdefgab", 0) + "2"
			}
		}
		switch random.IntN(40) {
		case 0:
			r = `"_F#"` + r
		case 1:
			r = `"_D C Bb | Eb F G A"` + r
		case 2:
			r = `"^bisbigliando"` + r
		case 3:
			r = "!" + []string{"p", "ff"}[random.IntN(2)] + "!" + r
		case 4:
			r = "!glissando(!c2 d2 e2 !glissando)!c'2"
		case 5:
			r = "{" + note("dfa", 0) + "}" + r
		case 6:
			r = "!fermata!" + r
		}
		if random.IntN(4) > 0 {
			l = note("CEGB", 1) + "4" + note("CDFA", 1) + "4"
		} else if random.IntN(20) == 0 {
			l = []string{"C,,,8", "^C,,,8"}[random.IntN(2)]
		} else {
			l = "z8"
		}
		open := ""
		if b > 0 && repeated == 0 && random.IntN(12) == 0 {
			open, repeated = "|:", 2+random.IntN(40)
			closing = ""
		}
		right, left = append(right, closing+open+r), append(left, closing+open+l)
		closing = "|"
		if repeated > 0 {
			if repeated--; repeated == 0 {
				closing = ":|"
				if random.IntN(3) == 0 && b+2 < bars {
					right[b] = strings.Replace(right[b], "|", "|1 ", 1)
					left[b] = strings.Replace(left[b], "|", "|1 ", 1)
					closing = ":|2 "
				}
			}
		}
		if random.IntN(60) == 0 && closing == "|" && repeated == 0 {
			closing = "||"
		}
	}
	return "X:1\nT:Long\nM:4/4\nL:1/8\nQ:1/4=100\n%%score {RH LH}\nV:RH clef=treble name=\"Harp\"\nV:LH clef=bass\nK:" +
		[]string{"C", "F", "Eb", "A"}[random.IntN(4)] + "\n[V:RH] " + strings.Join(right, " ") + "|\n[V:LH] " + strings.Join(left, " ") + "|\n"
}

// say is what a finding says, without the strokes.
func say(f rules.Finding) string {
	s := fmt.Sprintf("%s %v bars %d-%d at %v %s", f.Rule, f.Severity, f.Bar, f.EndBar, f.Span, f.Message)
	for _, r := range f.Related {
		s += fmt.Sprintf(" / %v %s", r.Span, r.Message)
	}
	return s
}

// said are the findings of a reading with so many bars a section, -1 for the tune as one.
func said(t *testing.T, text []byte, set rules.Settings, bars int) []string {
	return saidOf(t, text, score.Build(syntax.Parse(text)), set, bars)
}

func saidOf(t *testing.T, text []byte, s *score.Score, set rules.Settings, bars int) (out []string) {
	set = set.InSections(bars)
	r, err := rules.Read(context.Background(), text, s, set)
	require.NoError(t, err)
	for i := range r.Long {
		require.Equal(t, bars > 0, r.Long[i] != nil)
	}
	for _, f := range r.All(s) {
		out = append(out, say(f))
	}
	slices.Sort(out)
	return out
}

// A tune that is read by sections has the same feet, marks, levers, rows without a rest
// and repeats as one that is read whole.
func TestSectionsSayWhatTheWholeSays(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 17))
	for round := range 20 {
		text := []byte(longTune(random, 160, []float64{.02, .12, .4, .8}[round%4]))
		set := rules.Defaults()
		set.Hand.TiringBars, set.Hand.TiringBarsRate = 6, 1
		if round%5 == 4 {
			require.NoError(t, set.SetText("instrument", "lever34"))
		}
		require.Equal(t, said(t, text, set, -1), said(t, text, set, 36), "%d: %s", round, text)
	}
}

// What is taken over from section to section after an edit is what a reading from nothing
// finds, also where the edit changes what other sections have around them.
func TestSectionsAfterEdits(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 8))
	pieces := []string{"^f", "_b", "=c", `"_F#"`, "!p!", "|:", ":|", "|", "z8|", "", "c2", "!glissando(!", "||"}
	for round := range 4 {
		text := []byte(longTune(random, 160, .1))
		set := rules.Defaults()
		if round == 3 {
			require.NoError(t, set.SetText("instrument", "lever34"))
		}
		remembering := set.Remembering(rules.NewMemory())
		file := syntax.Parse(text)
		s := score.Build(file)
		for range 12 {
			start := len(text)/8 + random.IntN(len(text)*7/8)
			end, insert := min(len(text), start+random.IntN(3)), []byte(pieces[random.IntN(len(pieces))])
			text = slices.Concat(text[:start], insert, text[end:])
			next := file.Edit(start, end, insert)
			s, file = score.Update(s, file, next), next
			require.Equal(t, said(t, text, set, 36), saidOf(t, text, s, remembering, 36), "%q for %d bytes at %d", insert, end-start, start)
		}
	}
}
