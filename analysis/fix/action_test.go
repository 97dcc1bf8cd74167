package fix_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

func textOf(t *testing.T, source string) fix.Text {
	t.Helper()
	file := syntax.Parse([]byte(source))
	s := score.Build(file)
	parts, findings, err := rules.Run(context.Background(), file.Text(), s, rules.Defaults())
	require.NoError(t, err)
	return fix.Text{File: file, Score: s, Parts: parts, Findings: findings, Settings: rules.Defaults()}
}

// harp is a part of two staves in quarter notes, a beat a second.
func harp(key, right, left string) string {
	return "X:1\nM:4/4\nL:1/4\nQ:1/4=60\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:" + key + "\nV:RH\n" + right + "\nV:LH\n" + left + "\n"
}

func act(t *testing.T, source, name string, span score.Span) fix.Acted {
	t.Helper()
	a, err := fix.Act(context.Background(), textOf(t, source), name, span)
	require.NoError(t, err)
	return a
}

// from is the span from one piece of a text to the end of another.
func from(source, first, last string) score.Span {
	at := strings.Index(source, first)
	return score.Span{Start: at, End: at + strings.Index(source[at:], last) + len(last)}
}

func TestActions(t *testing.T) {
	for name, c := range map[string]struct {
		action, source, want string
		first, last          string // of the selection; none for a caret at the start
	}{
		"marks: the setting, then changes just before they are needed, below the lower staff": {
			action: "pedals/marks",
			source: harp("C", "f2 d2 | e2 ^f2 | f4 |", "C, E, G, E, | C, D, A, D, | F,4 |"),
			want:   harp("C", "f2 d2 | e2 ^f2 | f4 |", `"_D♮ C♮ B♮ | E♮ F♮ G♮ A♮"C, E, G, E, | C, "_F♯"D, A, "_F♮"D, | F,4 |`),
		},
		"marks: the right foot's letter stands above the left foot's": {
			action: "pedals/marks",
			source: harp("C", "[CF]4 | [^C^F]4 |", "z4 | z4 |"),
			want:   harp("C", "[CF]4 | [^C^F]4 |", `"_D♮ C♮ B♮ | E♮ F♮ G♮ A♮""_F♯""_C♯"z4 | z4 |`),
		},
		"marks: where the lower staff has no place between, above the upper": {
			action: "pedals/marks",
			source: harp("C", "d c ^c2 |", "z4 |"),
			want:   harp("C", `d "^C♯"c ^c2 |`, `"_D♮ C♮ B♮ | E♮ F♮ G♮ A♮"z4 |`),
		},
		"marks: before a glissando, after a long rest and at a rehearsal mark": {
			action: "pedals/marks",
			source: harp("C", "C4 | z4 | z4 | z4 | z4 | _B4 |[P:B] C4 | z4 | !~(!C2 !~)!c2 |", "z4 | z4 | z4 | z4 | z4 | z4 | z4 | z4 | z4 |"),
			want: harp("C", "C4 | z4 | z4 | z4 | z4 | _B4 |[P:B] C4 | z4 | !~(!C2 !~)!c2 |",
				`"_D♮ C♮ B♭ | E♮ F♮ G♮ A♮"z4 | z4 | z4 | z4 | z4 | "_D♮ C♮ B♭ | E♮ F♮ G♮ A♮"z4 | "_D♮ C♮ B♭ | E♮ F♮ G♮ A♮"z4 | z4 | "_D♮ C♮ B♭ | E♮ F♮ G♮ A♮"z4 |`),
		},
		"marks: one that the notes contradict goes, those that are right stay": {
			action: "pedals/marks",
			source: harp("C", "d2 ^d2 |", `"_D C B | E F G A"C,"_D♭"E, G,2 |`),
			want:   harp("C", "d2 ^d2 |", `"_D C B | E F G A"C,"_D♯"E, G,2 |`),
		},
		"spelling: the feet stand still": {
			action: "pedals/spell-tune",
			source: harp("C", "f ^f =f ^f | f4 |", "z4 | z4 |"),
			want:   harp("C", "f _g f g | f4 |", "z4 | z4 |"),
		},
		"spelling of a selection leaves the rest": {
			action: "pedals/spell-selection", first: "=f", last: "^f",
			source: harp("C", "F ^F F2 | f =f _g ^f | F4 |", "z4 | z4 | z4 |"),
			want:   harp("C", "F ^F F2 | f =f _g g | F4 |", "z4 | z4 | z4 |"),
		},
		"spelling counts the way back to the start of a repeat": {
			action: "pedals/spell-tune",
			source: harp("C", "G4 | G4 |: E2 F2 | E2 F2 | ^F2 E2 | E2 ^F2 :|", "z4 | z4 |: z4 | z4 | z4 | z4 :|"),
			want:   harp("C", "G4 | G4 |: E2 F2 | E2 F2 | _G2 E2 | E2 _G2 :|", "z4 | z4 |: z4 | z4 | z4 | z4 :|"),
		},
		"spelling counts a way back in mid tune": {
			action: "pedals/spell-tune",
			source: harp("C", "G4 | G4 |: E2 F2 | E2 F2 | ^F2 E2 | E2 ^F2 :| A4 | A4 |", "z4 | z4 |: z4 | z4 | z4 | z4 :| z4 | z4 |"),
			want:   harp("C", "G4 | G4 |: E2 F2 | E2 F2 | _G2 E2 | E2 _G2 :| A4 | A4 |", "z4 | z4 |: z4 | z4 | z4 | z4 :| z4 | z4 |"),
		},
		"spelling takes tied notes along": {
			action: "pedals/spell-tune",
			source: harp("C", "f2 ^f2- | ^f2 =f2 | f4 |", "z4 | z4 | z4 |"),
			want:   harp("C", "f2 _g2- | _g2 f2 | f4 |", "z4 | z4 | z4 |"),
		},
		"spelling brings marks up to date": {
			action: "pedals/spell-tune",
			source: harp("C", "f2 ^f2 | f4 |", `"_D C B | E F G A"C,2 "_F♯"D,2 | "_F♮"z4 |`),
			want:   harp("C", "f2 _g2 | f4 |", `"_D♮ C♮ B♮ | E♮ F♮ G♭ A♮"C,2 D,2 | z4 |`),
		},
		"flat side: key signature, grace notes, both staves": {
			action: "pedals/flat-tune",
			source: harp("B", "{c}B c d e | ^^f g =a ^a | =d2 [K:F#] e2 | g4 |", "B,, F, B,2 | D, E,2 F, | z4 | F,,4 |"),
			want:   harp("Cb", "{d}c d e f | =g a =a b | =d2 [K:Gb] f2 | a4 |", "C, G, C2 | E, F,2 G, | z4 | G,,4 |"),
		},
		"flat side: chord symbols": {
			action: "pedals/flat-tune",
			source: harp("B", `"B"B c "F#7/A#"d e | "G#m7"f "C##dim"g "=D"a "Fine"b | "E6"e4 |`, "B,, F, B,2 | D, E,2 F, | z4 |"),
			want:   harp("Cb", `"Cb"c d "Gb7/Bb"e f | "Abm7"g "Ddim"a "=D"b "Fine"c' | "Fb6"f4 |`, "C, G, C2 | E, F,2 G, | z4 |"),
		},
		"flat side: a selection gets the key, and the old one after it": {
			action: "pedals/flat-selection", first: "f g", last: "f g",
			source: harp("F#m", "f g a b | c4 |", "z4 | z4 |"), // three sharps: nothing to do
		},
		"flat side: a passage in six sharps": {
			action: "pedals/flat-selection", first: "f g", last: "f g",
			source: harp("F#", "c4 | f g a b | c4 |", "z4 | F,4 | z4 |"),
			want:   harp("F#", "c4 |[K:Gb] g a b c' |[K:F#] c4 |", "z4 |[K:Gb] G,4 |[K:F#] z4 |"),
		},
	} {
		t.Run(name, func(t *testing.T) {
			span := score.Span{}
			if c.first != "" {
				span = from(c.source, c.first, c.last)
			}
			a := act(t, c.source, c.action, span)
			if c.want == "" {
				assert.NotEmpty(t, a.Why)
				assert.Empty(t, a.Edits)
				return
			}
			require.Empty(t, a.Why)
			assert.Equal(t, c.want, string(a.After))
			assert.NotEmpty(t, a.Title)
		})
	}
}

// An enharmonic doubling that is written stays, in one chord and by turns; a harmonic
// stays where it is touched.
func TestSpellingKeepsWhatIsMeant(t *testing.T) {
	for _, right := range []string{
		"[^B,C] [=B,C] [^B,C] [=B,C] | B,4 |",
		"^B/4c/4^B/4c/4 =B3 | ^B/4c/4^B/4c/4 =B3 |",
		"!open!^f f !open!^f f | f4 |",
	} {
		source := harp("C", right, "z4 | z4 |")
		a := act(t, source, "pedals/spell-tune", score.Span{})
		if a.Why != "" {
			continue
		}
		for _, kept := range []string{"[^B,C]", "^B/4c/4", "!open!^f"} {
			assert.Equal(t, strings.Count(source, kept), strings.Count(string(a.After), kept), string(a.After))
		}
	}
}

func TestActionsAreListedWhereTheyMakeSense(t *testing.T) {
	source := harp("C", "c4 | ^c4 |", "z4 | z4 |")
	names := func(span score.Span) (out []string) {
		for _, a := range fix.Actions(textOf(t, source), span) {
			assert.NotEmpty(t, a.Title)
			out = append(out, a.Name)
		}
		return out
	}
	assert.Equal(t, []string{"pedals/marks", "pedals/spell-tune"}, names(score.Span{}))
	assert.Equal(t, []string{"pedals/marks", "pedals/spell-selection", "pedals/spell-tune"}, names(from(source, "c4", "^c4")))
	assert.Empty(t, fix.Actions(textOf(t, "X:1\nV:F name=\"Flute\"\nK:C\nV:F\nc4|\n"), score.Span{}))
	assert.NotEmpty(t, act(t, source, "pedals/flat-tune", score.Span{}).Why)
	assert.NotEmpty(t, act(t, source, "nothing of the kind", score.Span{}).Why)
}

// roundTrip writes the marks of every part of a score and reads them back: nothing is
// wrong, nothing is missing, the music is untouched, and there is nothing more to write.
func roundTrip(t *testing.T, source string) (written bool) {
	t.Helper()
	text := textOf(t, source)
	for k, part := range text.Parts {
		if part.Pedals == nil || len(part.Player.Voices()) == 0 || part.Player.Voices()[0].Len() == 0 {
			continue
		}
		at := part.Player.Voices()[0].Bars()[0].Start
		a, err := fix.Act(context.Background(), text, "pedals/marks", score.Span{Start: at, End: at})
		require.NoError(t, err)
		if a.Why != "" || strings.Contains(a.Title, "without a place") {
			continue
		}
		written = true
		after := textOf(t, string(a.After))
		require.Len(t, after.Parts, len(text.Parts))
		for _, f := range after.Findings {
			if f.Tune == part.Tune.Number && part.Player.Has(f.Voice) {
				assert.NotEqual(t, rules.MarkWrong.Name, f.Rule, "bar %d: %s", f.Bar, f.Message)
				assert.NotEqual(t, rules.MarkMissing.Name, f.Rule, "bar %d: %s", f.Bar, f.Message)
			}
		}
		was, is := part.Pedals.Plan, after.Parts[k].Pedals.Plan
		assert.Equal(t, was.Moves, is.Moves)
		assert.Equal(t, was.Initial, is.Initial)
		for _, w := range after.Parts[k].WantedMarks() {
			assert.True(t, after.Parts[k].Pedals.Marked(w), "%+v", w)
		}
	}
	return written
}

func TestMarksAreReadBack(t *testing.T) {
	for _, source := range []string{
		harp("Eb", "|: e2 =e2 | ^f2 f2 |1 =b4 :|2 b2 _c2 |]", "|: E,4 | z4 |1 z4 :|2 z4 |]"),
		harp("C", "|: c2 ^c2 :| c2 ^f2 |", "|: z4 :| C,2 D,2 |"),
		harp("C", "Z4 | {^c}d2 [ce]2 | !arpeggio![C^F]4 | (3FGA (3_BAG |", "Z4 | z4 | z2 D,2 | z4 |"),
		harp("C", "c4 & ^f4 | f4 |", "C,4 | z4 |"),
		// What the first ending asked for is over after the second.
		harp("G", "|: f4 |1 =f4 :|2 g4 |][P:B] ^c4 | f4 |", "|: z4 |1 z4 :|2 z4 |] z4 | z4 |"),
	} {
		assert.True(t, roundTrip(t, source), source)
	}
	files, err := filepath.Glob("../../testdata/*/*.abc")
	require.NoError(t, err)
	written := 0
	for _, file := range append(files, corpus(t, "../repertoire/harp/*.abc", "mutopia-harp/*.abc")...) {
		source, err := os.ReadFile(file)
		require.NoError(t, err)
		if t.Run(filepath.Base(file), func(t *testing.T) {
			if roundTrip(t, string(source)) {
				written++
			}
		}); t.Failed() {
			break
		}
	}
	assert.Greater(t, written, 10)
}

// corpus lists larger sets of scores; none where they are not here.
func corpus(t *testing.T, patterns ...string) (files []string) {
	root := os.Getenv("FOURFOLD_CORPUS")
	if root == "" {
		t.Log("FOURFOLD_CORPUS is not set: larger scores are skipped")
		return nil
	}
	for _, p := range patterns {
		found, err := filepath.Glob(filepath.Join(root, p))
		require.NoError(t, err)
		files = append(files, found...)
	}
	return files
}
