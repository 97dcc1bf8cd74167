package analysis_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// inSections reads a text in sections of a few bars.
func inSections(t *testing.T, text []byte, bars int) *analysis.Reading {
	t.Helper()
	r, err := analysis.Read(context.Background(), syntax.Parse(text), rules.Defaults().InSections(bars))
	require.NoError(t, err)
	return r
}

// pedalled is a part of so many bars with accidentals, so that the feet move in all of it.
func pedalled(bars int) string {
	long := longPart(bars)
	for i, from := range []string{"c2e2 g2e2", "DFdA EGeB", "GBdg AceA2"} {
		long = strings.ReplaceAll(long, from, []string{"^c2e2 g2_e2", "DF^dA _EGeB", "GB^dg Ac=eA2"}[i])
	}
	return long
}

// However one gets to a long text, by edits that are looked at or not, its reading says
// what a reading from nothing says.
func TestSectionsAfterEdits(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 4))
	text := []byte(pedalled(100))
	require.NotNil(t, inSections(t, text, 16).Long(0))
	g := inSections(t, text, 16).Glimpse()
	looked := 0
	for i := range 40 {
		start, end, insert := randomEdit(random, text)
		if i%3 != 0 {
			start, end, insert = letterEdit(random, text)
		}
		text = append(append(append([]byte{}, text[:start]...), insert...), text[end:]...)
		fresh := inSections(t, text, 16)
		next := g.Edit(context.Background(), g.File().Edit(start, end, []byte(insert)), start, end)
		var whole *analysis.Reading
		var err error
		if next != nil {
			looked++
			assert.Equal(t, places(fresh.Glimpse()), places(next), "edit %d: %q at %d", i, insert, start)
			if i%4 == 0 { // the whole is not waited for
				g = next
				continue
			}
			whole, err = next.Whole(context.Background())
		} else {
			before, readErr := g.Whole(context.Background())
			require.NoError(t, readErr)
			whole, err = analysis.Next(context.Background(), before, g.File().Edit(start, end, []byte(insert)), rules.Defaults().InSections(16))
		}
		require.NoError(t, err)
		require.Equal(t, fresh.Findings(), whole.Findings(), "edit %d: %q at %d", i, insert, start)
		all, _ := whole.Glimpse().Pick(1<<30, 0)
		require.Len(t, all, len(fresh.Findings()))
		for _, rule := range []string{"hands/turn", "feet/late"} {
			is := func(f rules.Finding) bool { return f.Rule == rule && f.Tune == "1" }
			require.Equal(t, whole.Count(is), len(slices.DeleteFunc(whole.Findings(), func(f rules.Finding) bool { return !is(f) })))
		}
		g = whole.Glimpse()
	}
	assert.Greater(t, looked, 15, "most edits are looked at")
}

// A reading that is given up keeps the sections that are done.
func TestSectionsGivenUp(t *testing.T) {
	text := []byte(pedalled(200))
	g := inSections(t, text, 16).Glimpse()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	at := strings.Index(string(text), "DF^dA")
	next := g.Edit(context.Background(), g.File().Edit(at, at+1, []byte("E")), at, at+1)
	require.NotNil(t, next)
	_, err := next.Whole(ctx)
	require.ErrorIs(t, err, context.Canceled)
	whole, err := next.Whole(context.Background())
	require.NoError(t, err)
	text[at] = 'E'
	require.Equal(t, inSections(t, text, 16).Findings(), whole.Findings())
}

// densePart is music at random in sixteenths, with hardly a rest: hands come late, help
// each other, and their passages run over many sections.
func densePart(random *rand.Rand, bars int) string {
	figures := [2][]string{
		{"d4 ", "EGce ", "FAfc ", "GBgd ", "Acae ", "a2g2 ", "[FAcf]4 ", "^fdAF ", "z4 "},
		{"A,4 ", "F,,C,F,A, ", "[F,,C,F,]4 ", "G,B,DG ", "_E,4 ", "z4 "},
	}
	text := "X:1\nT:Dense\nM:4/4\nL:1/16\nQ:1/4=120\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:F\n"
	for bar := 0; bar < bars; bar += 4 {
		for side, voice := range []string{"RH", "LH"} {
			text += "[V:" + voice + "] "
			for range 4 {
				for range 4 {
					text += figures[side][random.IntN(len(figures[side]))]
				}
				text += "| "
			}
			text += "\n"
		}
	}
	return text
}

// told is all that a finding says.
func told(f rules.Finding) string {
	return fmt.Sprint(f.Rule, " ", f.Severity, f.Span, f.Hand, f.From, f.To, f.Message, f.Advice, f.Related)
}

// By sections a tune has the findings that it has read as one. What differs is named in
// DEVELOPERS.md.
func TestSectionsAgainstOne(t *testing.T) {
	differ := map[string]int{}
	all := 0
	for seed := range uint64(3) {
		text := []byte(densePart(rand.New(rand.NewPCG(seed, 9)), 320))
		count := map[string]int{}
		for _, f := range inSections(t, text, -1).Findings() {
			count[told(f)]++
			all++
		}
		for _, f := range inSections(t, text, 64).Findings() {
			count[told(f)]--
		}
		for f, n := range count {
			if n != 0 {
				differ[strings.Fields(f)[0]]++
			}
		}
	}
	assert.Greater(t, all, 500)
	assert.Equal(t, map[string]int{"hands/tight": 2}, differ)
}

// Remarks that let findings pass, settings of the file and short tunes beside a long one
// count as in a reading as one, also after edits.
func TestSectionsAmongOthers(t *testing.T) {
	long := strings.Replace(pedalled(100), "X:1", "X:2", 1)
	lines := strings.SplitAfter(long, "\n")
	for i, line := range lines {
		switch {
		case i > 10 && i%9 == 0 && strings.Contains(line, "|"):
			lines[i] = "% fourfold: allow hands, feet/late — as it is\n" + line
		case i == 30:
			lines[i] = "% fourfold: allow strings/undisced — nothing is there\n" + line
		}
	}
	text := []byte("%%fourfold no-such-thing=1\n\n" + pedalled(12) + "\n" + strings.Join(lines, ""))
	random := rand.New(rand.NewPCG(3, 3))
	r := inSections(t, text, 16)
	require.Nil(t, r.Long(0))
	require.NotNil(t, r.Long(1))
	stale := r.Count(func(f rules.Finding) bool { return f.Rule == rules.StaleAllowance.Name })
	require.NotZero(t, stale)
	require.Less(t, stale, strings.Count(string(text), "fourfold: allow"), "some let findings pass")
	require.Equal(t, 1, r.Count(func(f rules.Finding) bool { return f.Rule == rules.WrongSetting.Name }))
	file := syntax.Parse(text)
	for i := range 12 {
		var want, got []string
		for _, f := range inSections(t, text, -1).Findings() {
			if f.Rule != "hands/tight" {
				want = append(want, told(f))
			}
		}
		for _, f := range r.Findings() {
			if f.Rule != "hands/tight" {
				got = append(got, told(f))
			}
		}
		require.ElementsMatch(t, want, got, "edit %d", i)
		require.Equal(t, inSections(t, text, 16).Findings(), r.Findings(), "edit %d", i)
		start, end, insert := letterEdit(random, text)
		text = append(append(append([]byte{}, text[:start]...), insert...), text[end:]...)
		file = file.Edit(start, end, []byte(insert))
		var err error
		r, err = analysis.Next(context.Background(), r, file, rules.Defaults().InSections(16))
		require.NoError(t, err)
	}
}

// What the hands share beside a section does not depend on whether its neighbours have been
// read: sections that know nothing of each other say what those say that share a memory.
func TestSectionsWithoutNeighbours(t *testing.T) {
	for _, seed := range []uint64{10, 22, 30} {
		text := []byte(densePart(rand.New(rand.NewPCG(seed, 5)), 320))
		s := score.Build(syntax.Parse(text))
		set := rules.Defaults().InSections(16)
		assert.Equal(t, toldBy(t, text, s, set), toldBy(t, text, s, set.Remembering(rules.NewMemory())))
	}
}

// toldBy tells all findings of a score.
func toldBy(t *testing.T, text []byte, s *score.Score, set rules.Settings) (out []string) {
	t.Helper()
	r, err := rules.Read(context.Background(), text, s, set)
	require.NoError(t, err)
	for _, f := range r.All(s) {
		out = append(out, told(f))
	}
	return out
}
