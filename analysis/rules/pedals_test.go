package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// harpPart reads two staves of a harp in 4/4, quarter notes, at one beat a second.
func harpPart(t *testing.T, right, left string) *Part {
	text := []byte("X:1\nM:4/4\nL:1/4\nQ:1/4=60\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n" + right + "\nV:LH\n" + left + "\n")
	parts, _, err := RunTune(t.Context(), text, score.Build(syntax.Parse(text)).Tunes[0], Defaults())
	require.NoError(t, err)
	require.Len(t, parts, 1)
	return parts[0]
}

func TestPedalMarksAreRead(t *testing.T) {
	for text, want := range map[string]string{
		"F♯": "? ? ? | ? F# ? ?", "F#": "? ? ? | ? F# ? ?", "Bn": "? ? B | ? ? ? ?", "F♯;C♮": "? C ? | ? F# ? ?",
		"D C B♭ | E♭ F G A": "D C Bb | Eb F G A", "DCBb|EbFGA": "D C Bb | Eb F G A",
		"-^-|v---": "D Cb B | E# F G A", "─▔─│▁───": "D Cb B | E# F G A",
	} {
		s, _, ok := readPedals(text)
		require.True(t, ok, text)
		assert.Equal(t, want, knownLetters(s.String()), text)
	}
	for _, text := range []string{"", "A", "dolce", "D.C.", "D C B | E F G", "F# F", "-^-|v--", "F♯ F♮", "bisbigl."} {
		_, _, ok := readPedals(text)
		assert.False(t, ok, text)
	}
}

// knownLetters leaves out the names of letters that a mark does not give.
func knownLetters(setting string) string {
	out := []byte{}
	for i := range len(setting) {
		if i+1 < len(setting) && setting[i+1] == '?' {
			continue
		}
		out = append(out, setting[i])
	}
	return string(out)
}

func TestGlissandoHoldsThePedals(t *testing.T) {
	p := harpPart(t, "_e4 | !glissando(!C/D/F/G/ A/B/!glissando)!c | e4 |", "z4 | z4 | z4 |")
	require.Len(t, p.Pedals.Glissandi, 1)
	g := p.Pedals.Glissandi[0]
	assert.Equal(t, "D C B | Eb F G A", g.Setting.String(), "E is not written, and stays")
	assert.Equal(t, []string{"C", "D", "Eb", "F", "G", "A", "B"}, g.Sounds())
	require.Len(t, p.Pedals.Plan.Moves, 1)
	assert.GreaterOrEqual(t, p.Pedals.Plan.Moves[0].At, 7.0, "only after the last note of the glissando")
}

// The card shows where the pedals stand at the note under the cursor, and in a glissando
// which strings sound.
func TestCardShowsTheSetting(t *testing.T) {
	p := harpPart(t, "c ^d =d2 | _e4 | !glissando(!C/D/F/G/ A/B/!glissando)!c |", "z4 | z4 | z4 |")
	at := func(piece string) Card {
		i := strings.Index(string(p.text), piece)
		c, ok := p.Card(i)
		require.True(t, ok, piece)
		return c
	}
	assert.Equal(t, "D♯ C♮ B♮ | E♭ F♮ G♮ A♮", at("^d").Pedals)
	assert.Equal(t, "▁──│▔───", at("^d").Diagram)
	assert.Equal(t, "D♮ C♮ B♮ | E♭ F♮ G♮ A♮", at("=d2").Pedals)
	assert.Empty(t, at("_e4").Glissando)
	for _, piece := range []string{"C/D/", "F/G/", "c |"} {
		assert.Equal(t, "every string from C4 to C5 sounds, written or not: C D E♭ F G A B", at(piece).Glissando, piece)
	}
}

func TestSettingOverAGlissandoSaysWhatSounds(t *testing.T) {
	p := harpPart(t, "z4 | \"^D Cb B | E# F G# Ab\"!glissando(!B, z2 !glissando)!f' |", "z4 | z4 |")
	require.Len(t, p.Pedals.Glissandi, 1)
	assert.Equal(t, "D Cb B | E# F G# Ab", p.Pedals.Glissandi[0].Setting.String())
	assert.Equal(t, "D Cb B | E# F G# Ab", p.Pedals.Plan.Initial.String())
}

// A part that ends elsewhere than it begins asks for moves on the way back.
func TestRepeatLeadsBack(t *testing.T) {
	p := harpPart(t, "|: C4 | ^C4 :| C4 |", "|: z4 | z4 :| z4 |")
	require.Len(t, p.Pedals.Seams, 1)
	s := p.Pedals.Seams[0]
	assert.Equal(t, "On the way back from bar 2 to bar 1", s.words())
	require.Len(t, s.Moves, 1)
	assert.Equal(t, 4.0, s.Moves[0].Release)
	assert.Equal(t, 8.0, s.Moves[0].Deadline)
	assert.Empty(t, harpPart(t, "|: C4 | C4 :| C4 |", "|: z4 | z4 :| z4 |").Pedals.Seams)
}

func TestLateOnTheWayBackSaysSo(t *testing.T) {
	p := harpPart(t, "|: C4 | G3 ^c/4^c/4^c/4^c/4 :| C4 |", "|: z4 | z4 :| z4 |")
	late := Late.Whole(p)
	require.NotEmpty(t, late)
	assert.Contains(t, late[len(late)-1].Message, "On the way back from bar 2 to bar 1: ")
	slow := Late.Whole(harpPart(t, "|: C4 | G15/4 ^c/4 :| C4 |", "|: z4 | z4 :| z4 |"))
	require.NotEmpty(t, slow)
	assert.Contains(t, slow[len(slow)-1].Message, "In time up to ♩ = ", "there is a tempo at which it can be done")
	require.NotNil(t, slow[len(slow)-1].Speed)
}

// From the first ending the page goes on into the second, the player never: what would
// have to move there counts for nothing.
func TestMovesOnThePageOnlyDoNotCount(t *testing.T) {
	p := harpPart(t, "|: C4 |1 [^C^D^F]2[^G^A]2 :|2 [CD]/F/G/A5/2 |]", "|: z4 |1 z4 :|2 z4 |]")
	require.GreaterOrEqual(t, len(p.Pedals.Plan.Moves), 6)
	for _, f := range append(Crowded.Whole(p), WhileRinging.Whole(p)...) {
		assert.NotEqual(t, 3, f.Bar, f.Message)
	}
	for _, m := range p.Pedals.Plan.Moves {
		assert.Equal(t, p.Pedals.Note(m.Demand).Bar != 3, p.OnPage(m), "%+v", m)
	}
}

// A mark at the end of a repeat is for the way back, whatever follows on the page.
func TestMarkForTheWayBack(t *testing.T) {
	p := harpPart(t, `|: "_D C B | E F G A"C4 | "_C♯"z ^C2 "_C♮"z :| "_C♯"z2 ^C2 |`, "|: z4 | z4 :| z4 |")
	assert.Empty(t, MarkWrong.Whole(p))
	p = harpPart(t, `|: "_D C B | E F G A"C4 | "_C♯"z ^C2 "_C♮"z :| z2 ^C2 |`, "|: z4 | z4 :| z4 |")
	assert.Empty(t, MarkWrong.Whole(p))
	p = harpPart(t, `"_D C B | E F G A"C4 | "_C♯"z ^C2 "_C♮"z | z2 ^C2 |`, "z4 | z4 | z4 |")
	assert.Len(t, MarkWrong.Whole(p), 1)
}
