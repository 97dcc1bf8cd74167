package fix_test

import (
	"context"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
)

const (
	twoStaves = "X:1\nM:4/4\nL:1/16\nQ:1/4=160\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n"
	busyLeft  = "V:LH\nC,2E,2 G,2C2 E2C2 G,2E,2 |\n"
	idleLeft  = "V:LH\nz16 |\n"
)

// fixesOf gives the fixes of the first finding of a rule and the texts they make.
func fixesOf(t *testing.T, text, rule string) (fixes []fix.Fix, after []string) {
	r := read(t, []byte(text))
	for _, f := range r.findings {
		if f.Rule == rule {
			for _, fx := range fix.For(context.Background(), r.question(f)) {
				fixes, after = append(fixes, fx), append(after, string(applyAll([]byte(text), fx.Edits)))
			}
			return fixes, after
		}
	}
	require.Fail(t, "nothing found", rule)
	return nil, nil
}

// Each family, on a figure of its own: what it makes of the text. With -v the bars are
// printed before and after.
func TestFamilies(t *testing.T) {
	tried := map[string]bool{}
	for name, c := range map[string]struct {
		family, rule, text string
		want               string // stands in the text after
	}{
		"reorder": {"reorder", "hands/turn", twoStaves + "\"Am\"!f!DFdA z4 z8 |\n" + busyLeft, "\"Am\"!f!DFAd z4 z8 |\n"},
		"reorder, later notes sound as before": {"reorder", "hands/turn", twoStaves + "DFd^A z4 A4 z4 |\n" + busyLeft,
			"DF^Ad z4 A4 z4 |\n"},
		"hand a note over into a rest": {"hand-over", "hands/too-many", twoStaves + "z8 [CEGBd]8 |\n" + idleLeft, "[EGBd]8 |\nV:LH\nz8 C8 |"},
		"hand a note over to a chord":  {"hand-over", "hands/too-many", twoStaves + "z8 [CEGBd]8 |\nV:LH\nz8 [F,A,]8 |\n", "[EGBd]8 |\nV:LH\nz8 [F,A,C]8 |"},
		"hand a note over to a layer":  {"hand-over", "hands/too-many", twoStaves + "z8 [CEGBd]8 |\nV:LH\nC,16 |\n", "[EGBd]8 |\nV:LH\nC,16 & x8 C8 |"},
		"spread":                       {"spread", "hands/restrike", strings.Replace(twoStaves, "160", "108", 1) + "aaaa z4 z8 |\n" + idleLeft, "azaz z4 z8 |\nV:LH\nzaza z4 z8 |"},
		"roll":                         {"roll", "hands/reach", twoStaves + "z8 \"C\"[CEGf]8 |\n" + busyLeft, "\"C\"!arpeggio![CEGf]8 |"},
		"leave out a doubled note":     {"doubled", "hands/too-many", twoStaves + "z8 [CEGce]8 |\n" + busyLeft, "[CGce]8 |"},
		"close a chord":                {"voicing", "hands/reach", twoStaves + "z8 [CEGd']8 |\n" + busyLeft, "[CEGd]8 |"},
		"respell":                      {"respell", "feet/no-position", twoStaves + "^^F8 G8 |\n" + busyLeft, "\nG8 G8 |"},
		"respell against a clash":      {"respell", "feet/two-at-once", twoStaves + "[C^c]8 z8 |\n" + idleLeft, "[C_d]8 z8 |"},
		"two strings":                  {"two-strings", "hands/restrike", strings.Replace(twoStaves, "160", "112", 1) + "cccc z4 z8 |\n" + busyLeft, "c^Bc^B z4 z8 |"},
		"into range":                   {"octave", "strings/out-of-range", twoStaves + "z16 |\nV:LH\nB,,,,16 |\n", "\nB,,,16 |"},
		"tempo":                        {"tempo", "hands/restrike", twoStaves + "aaaa z4 z8 |\n" + busyLeft, "Q:1/4=83\n"},
		"grace notes as a rolled chord": {"grace", "hands/new-placing",
			strings.Replace(twoStaves, "160", "200", 1) + "c{EGc}g z2 z4 z8 |\n" + busyLeft, "!arpeggio![EGcg] z2"},
		"slower and without grace notes":             {"grace", "hands/restrike", at(100) + "aaa{a}a z4 z8 |\n" + busyLeft, "aaaa z4 z8 |\n"},
		"start on the other end":                     {"other-end", "hands/turn", at(144) + "decB z4 z8 |\n" + busyLeft, "Bced z4 z8 |\n"},
		"split a run":                                {"split", "hands/new-placing", at(200) + "z8 CDEF GABc |\n" + idleLeft, "z8 z4 GABc |\nV:LH\nz8 CDEF z4 |"},
		"hands in turn":                              {"split", "hands/restrike", at(144) + "EBEB EBEB EBEB EBEB |\n" + idleLeft, "EBz2 EBz2 EBz2 EBz2 |\nV:LH\nz2EB z2EB z2EB z2EB |"},
		"a figure to the other hand":                 {"hand-over", "hands/new-placing", at(132) + "[EGB]2[FAc]2 z4 z8 |\n" + idleLeft, "V:LH\nz2"},
		"second strikes to the other hand":           {"spread", "hands/restrike", at(108) + "aaaa z4 z8 |\n" + idleLeft, "azaz z4 z8 |\nV:LH\nzaza z4 z8 |"},
		"thin a chord":                               {"thin", "hands/too-many", at(160) + "z8 [CEGBd]8 |\n" + busyLeft, "[CEBd]8 |"},
		"an inner note that no pedal is in time for": {"thin", "feet/late", at(90) + "[CGc]2[C^Gc]2 [CGc]2[C^Gc]2 z8 |\n" + idleLeft, "[C"},
		"a row of octaves":                           {"doubled", "hands/new-placing", at(108) + "[Bb][Aa][Gg][Ff] z4 z8 |\n" + busyLeft, "\nbagf z4 z8 |"},
		"one note's octave":                          {"octave", "hands/restrike", at(104) + "dcBc AcBB ABce dcBc |\n" + busyLeft, "AcB,B"},
		"leaps brought together":                     {"octave", "hands/turn", at(92) + "da'dg' da'da' z8 |\n" + busyLeft, "d'a'd'g' d'a'd'a' z8 |"},
		"a passage respelt":                          {"passage", "feet/two-at-once", at(160) + "[C^c]8 ^^f8 |\n" + idleLeft, "[C_d]8 g8 |"},
		"tempo behind words":                         {"tempo", "hands/restrike", strings.Replace(twoStaves, "Q:1/4=160", "Q:\"Presto\" 1/4=160", 1) + "aaaa z4 z8 |\n" + busyLeft, "Q:\"Presto\" 1/4=83\n"},
		"tempo before words":                         {"tempo", "hands/restrike", strings.Replace(twoStaves, "Q:1/4=160", "Q:1/4=160 \"No 5\"", 1) + "aaaa z4 z8 |\n" + busyLeft, "Q:1/4=83 \"No 5\"\n"},
		"tempo inside the music":                     {"tempo", "hands/restrike", twoStaves + "z16 | [Q:1/4=150] aaaa z4 z8 |\nV:LH\nz16 | C,2E,2 G,2C2 E2C2 G,2E,2 |\n", "[Q:1/4=83] aaaa"},
		"tempo where there are words alone":          {"tempo", "hands/restrike", strings.Replace(twoStaves, "Q:1/4=160", "Q:\"Largo\"", 1) + "aaaa aaaa aaaa aaaa |\n" + busyLeft, "Q:\"Largo\" 1/4=83\n"},
		"tempo where there is none":                  {"tempo", "hands/restrike", strings.Replace(twoStaves, "Q:1/4=160\n", "", 1) + "aaaa aaaa aaaa aaaa |\n" + busyLeft, "Q:1/4=83\nK:C\n"},
		"a pedal mark corrected":                     {"marks", "feet/mark-wrong", at(60) + "\"_D C B | E F G A\"f8 \"_F♯\"z8 | f8 z8 |\n" + idleLeft, "\"_F♮\"z8"},
		"the setting at the start":                   {"marks", "feet/mark-missing", at(60) + "f8 \"_F♯\"z8 | ^f8 z8 |\n" + idleLeft, "V:LH\n\"_D♮ C♮ B♮ | E♮ F♮ G♮ A♮\"z16"},
		"a tremolo on two strings":                   {"tremolo", "hands/tremolo", at(100) + "!//!c8 e8 |\n" + idleLeft, "\n^BcBcBcBc e8 |"},
		"fewer strokes of a tremolo":                 {"strokes", "hands/tremolo", at(100) + "!//!c8 z8 |\n" + busyLeft, "!/!c8 z8 |"},
		"low notes of the right hand":                {"hand-over", "hands/low", at(60) + "E,,8 z8 |\n" + idleLeft, "E,,8"},
		"a wire string again":                        {"octave", "hands/buzz", at(132) + "z16 |\nV:LH\nC,,4 C,,4 z8 |\n", "C,,4 C,4"},
		"a roll taken away":                          {"together", "hands/turn", at(100) + "z8 !arpeggio![CEGc]2 [DFAd]2 z4 |\n" + busyLeft, "z8 [CEGc]2"},
		"a trill left out":                           {"together", "hands/trill", twoStaves + "!trill!c16 |\n" + busyLeft, "\nc16 |"},
		"a line with CRLF":                           {"reorder", "hands/turn", strings.ReplaceAll(twoStaves+"DFdA z4 z8 |\n"+busyLeft, "\n", "\r\n"), "DFAd z4 z8 |\r\n"},
	} {
		t.Run(name, func(t *testing.T) {
			fixes, after := fixesOf(t, c.text, c.rule)
			var made []string
			for i, fx := range fixes {
				if fx.Family != c.family {
					continue
				}
				made = append(made, after[i])
				if strings.Contains(after[i], c.want) {
					t.Logf("%s: %s\nnow\n%s\nthen\n%s", c.rule, fx.Title, fx.Before, fx.After)
				}
			}
			require.NotEmpty(t, made, "offered: %v", titles(fixes))
			r := read(t, []byte(c.text))
			for _, fx := range fixes {
				checkPromise(t, []byte(c.text), r, firstOf(r, c.rule), fx)
			}
			tried[c.family] = true
			assert.Contains(t, strings.Join(made, "\n"), c.want)
		})
	}
	for _, name := range fix.Families() {
		assert.True(t, tried[name], "%s is not tried here", name)
	}
}

// at is the beginning of a two-staff part at a tempo.
func at(tempo int) string { return strings.Replace(twoStaves, "160", strconv.Itoa(tempo), 1) }

func firstOf(r reading, rule string) rules.Finding {
	for _, f := range r.findings {
		if f.Rule == rule {
			return f
		}
	}
	return rules.Finding{}
}

func titles(fixes []fix.Fix) (out []string) {
	for _, f := range fixes {
		out = append(out, f.Family+": "+f.Title)
	}
	return out
}

// What hangs on the notes is never cut: such a fix is not offered.
func TestWhatCannotSurvive(t *testing.T) {
	for name, c := range map[string]struct{ text, never string }{
		"a tie":              {twoStaves + "DFdA-A4 z8 |\n" + idleLeft, "DFAd"},
		"a slur's end":       {twoStaves + "(DFd)A z4 z8 |\n" + idleLeft, "(DFz)"},
		"words":              {twoStaves + "DFdA z4 z8 |\nw:sing of the harp\n" + idleLeft, "z\nw:"},
		"words, by position": {twoStaves + "DFdA z4 z8 |\nw:sing of the harp\n" + idleLeft, "DFdz"},
		"a decoration":       {twoStaves + "!accent!DF!accent!dA z4 z8 |\n" + idleLeft, "!accent!z"},
		"a printed finger":   {twoStaves + "!4!D!3!F!1!d!2!A z4 z8 |\n" + busyLeft, "F!1!A"},
	} {
		t.Run(name, func(t *testing.T) {
			_, after := fixesOf(t, c.text, "hands/turn")
			for _, text := range after {
				assert.NotContains(t, text, c.never)
			}
		})
	}
}

// The fix that changes least comes first, a slower tempo last; no more than five,
// no text twice.
func TestOrderOfOffers(t *testing.T) {
	fixes, after := fixesOf(t, twoStaves+"DFdA DFdA DFdA DFdA |\n"+busyLeft, "hands/turn")
	require.NotEmpty(t, fixes)
	assert.LessOrEqual(t, len(fixes), 5)
	seen := map[string]bool{}
	family := map[string]int{}
	for i, fx := range fixes {
		family[fx.Family]++
		assert.LessOrEqual(t, family[fx.Family], 3)
		assert.False(t, seen[after[i]])
		seen[after[i]] = true
		if i > 0 && !fx.Slower {
			assert.False(t, fixes[i-1].Slower)
			assert.LessOrEqual(t, fixes[i-1].Moved, fx.Moved)
		}
	}
}

func TestWhyNot(t *testing.T) {
	r := read(t, []byte(strings.Replace(twoStaves, "160", "260", 1)+"aaaa aaaa aaaa aaaa |\n"+busyLeft))
	for _, f := range r.findings {
		if f.Rule == "hands/restrike" && f.Hand == "right hand" {
			a := fix.Find(context.Background(), r.question(f))
			assert.Equal(t, len(a.Fixes) == 0, a.Why != "")
			total := 0
			for _, n := range a.Refused {
				total += n
			}
			assert.LessOrEqual(t, total, a.Tried)
			return
		}
	}
	require.Fail(t, "nothing found")
}
