package rules

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

func TestBarsInTheOrderThatTheyArePlayed(t *testing.T) {
	for music, want := range map[string][]int{
		"C4 | C4 |]":                               {1, 2},
		"C4 |: C4 :| C4 |]":                        {1, 2, 2, 3},
		"|: C4 |1 C4 :|2 C4 | C4 |]":               {1, 2, 1, 3, 4},
		"|: C4 |1 C4 :|2 C4 :|3 C4 |]":             {1, 2, 1, 3, 1, 4},
		"|: C4 :: C4 |1 C4 :|2 C4 || C4 |: C4 :| ": {1, 1, 2, 3, 2, 4, 5, 6, 6},
	} {
		text := []byte("X:1\nM:4/4\nL:1/4\nK:C\n" + music + "\n")
		voice := score.Build(syntax.Parse(text)).Tunes[0].Voices[0]
		assert.Equal(t, want, slices.Collect(forwards(playedOrder(voice))), music)
		for number := range voice.Len() + 2 {
			before, _ := playedAround(voice, number)
			assert.Equal(t, slices.Collect(backwards(before)), slices.Collect(playedUpTo(voice, number)), "%s up to %d", music, number)
		}
	}
}

// What a first ending has set does not stand behind it, unless nothing on the way
// from the repeat's start into the next ending uses the letter.
func TestCardBehindASecondEnding(t *testing.T) {
	p := harpPart(t, "|: C2 F2 |1 ^F2 ^G2 :|2 B4 | A2 F2 |]", "|: z4 |1 z4 :|2 z4 | z4 |]")
	at := func(p *Part, piece string) string {
		c, ok := p.Card(strings.Index(string(p.text), piece))
		require.True(t, ok, piece)
		return c.Pedals
	}
	assert.Equal(t, "D♮ C♮ B♮ | E♮ F♯ G♯ A♮", at(p, "^F2"))
	assert.Equal(t, "D♮ C♮ B♮ | E♮ F♮ G♯ A♮", at(p, "B4"), "F is natural again, G is as the first ending left it")

	tune := score.Build(syntax.Parse(p.text)).Tunes[0]
	c := Card{}
	c.showPedals(tune, p, 3, instant{onset: score.Zero})
	assert.Equal(t, at(p, "B4"), c.Pedals, "the same from a stretch of the score")
}

// A new key says what a glissando sounds that does not write its notes out.
func TestGlissandoInANewKey(t *testing.T) {
	p := harpPart(t, "A4 | B4 | [K:Eb] !glissando(!C2 !glissando)!c2 |", "z4 | z4 | [K:Eb] z4 |")
	require.Len(t, p.Pedals.Glissandi, 1)
	assert.Equal(t, "D C Bb | Eb F G Ab", p.Pedals.Glissandi[0].Setting.String())
}

// On a harp that lacks the string no pedal is asked for two forms: the range is the cause.
func TestNoTwoFormsWithAStringThatTheHarpLacks(t *testing.T) {
	p := harpPart(t, "c4 |", "_C,,4 |")
	assert.NotEmpty(t, checkTwoAtOnce(p))
	p.Settings.Instrument.Lowest = 21
	assert.Empty(t, checkTwoAtOnce(p))
}

// What a first ending has set, and nothing played after it uses, is moved on the way into
// the next: the page has no such move, since the player never goes from one into the other.
func TestPedalsThatAnEndingHasLeft(t *testing.T) {
	for _, c := range []struct{ name, music, rests, want string }{
		{"needed in the second ending", "d4 |: c4 |1 ^d4 :|2 =d4 |]", "z4 |: z4 |1 z4 :|2 z4 |]", "bar 4: D"},
		{"needed after it", "d4 |: c4 |1 ^d4 :|2 g4 | =d4 |]", "z4 |: z4 |1 z4 :|2 z4 | z4 |]", "bar 5: D"},
		{"used on the way", "|: d4 |1 ^d4 :|2 =d4 |]", "|: z4 |1 z4 :|2 z4 |]", ""},
		{"needed only in the third", "|: c4 |1 ^d4 :|2 g4 :|3 =d4 |]", "|: z4 |1 z4 :|2 z4 :|3 z4 |]", "bar 4: D"},
	} {
		p := harpPart(t, c.music, c.rests)
		var got []string
		for _, s := range p.Pedals.Seams {
			for i, m := range s.Moves {
				if s.to > s.from {
					got = append(got, fmt.Sprintf("bar %d: %v%v", s.Notes[i].Bar, m.Letter, m.To))
					assert.Less(t, m.Release, m.Deadline, c.name)
				}
			}
		}
		assert.Equal(t, c.want, strings.Join(got, ", "), c.name)
	}
}
