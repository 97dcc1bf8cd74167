package rules_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/harp"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// run gives what the rules find in a text.
func run(t *testing.T, text string, set rules.Settings) []rules.Finding {
	t.Helper()
	_, findings, err := rules.Run(context.Background(), []byte(text), score.Build(syntax.Parse([]byte(text))), set)
	require.NoError(t, err)
	return findings
}

func ofRule(findings []rules.Finding, rule string) (out []rules.Finding) {
	for _, f := range findings {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

func TestSetText(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       func(*testing.T, rules.Settings)
	}{
		{"hand", "small", func(t *testing.T, s rules.Settings) { assert.Equal(t, harp.Small(), s.Hand) }},
		{"instrument", "lever34", func(t *testing.T, s rules.Settings) { assert.True(t, s.Instrument.Levers) }},
		{"tempo", "72.5", func(t *testing.T, s rules.Settings) { assert.Equal(t, 72.5, s.Tempo) }},
		{"defaultTempo", "60", func(t *testing.T, s rules.Settings) { assert.Equal(t, 60., s.DefaultTempo) }},
		{"severity.hands/tight", "off", func(t *testing.T, s rules.Settings) {
			assert.Equal(t, map[string]rules.Severity{"hands/tight": rules.Off}, s.Severity)
		}},
		{"severity.feet", "hint", func(t *testing.T, s rules.Settings) { assert.Equal(t, rules.Hint, s.Severity["feet"]) }},
		{"set.cycle", "0.2", func(t *testing.T, s rules.Settings) { assert.Equal(t, .2, s.Hand.Cycle) }},
		{"set.span.1-4.most", "8", func(t *testing.T, s rules.Settings) { assert.Equal(t, 8, s.Hand.Spans[1][4].Most) }},
		{"lowest", "C2", func(t *testing.T, s rules.Settings) {
			assert.Equal(t, 14, s.Instrument.Lowest)
			assert.Equal(t, "pedal harp, 40 strings", s.Instrument.Title)
		}},
		{"highest", "a6", func(t *testing.T, s rules.Settings) { assert.Equal(t, 47, s.Instrument.Highest) }},
		{"undisced", "D1,C1,D1", func(t *testing.T, s rules.Settings) { assert.Equal(t, []int{7, 8}, s.Instrument.Undisced) }},
		{"undisced", "none", func(t *testing.T, s rules.Settings) { assert.Empty(t, s.Instrument.Undisced) }},
	} {
		t.Run(c.name+"="+c.text, func(t *testing.T) {
			set := rules.Defaults()
			require.NoError(t, set.SetText(c.name, c.text))
			c.want(t, set)
		})
	}
}

func TestWrongSettings(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"hand", "tiny", "one of: standard, small"},
		{"hnd", "small", "no setting `hnd`; did you mean `hand`?"},
		{"harp", "lever34", "no setting `harp`; did you mean `instrument`?"},
		{"instrument", "piano", "one of: concert"},
		{"tempo", "fast", "a number from 1 to 1000"},
		{"tempo", "0", "a number from 1 to 1000"},
		{"tempo", "NaN", "a number from 1 to 1000"},
		{"tempo", "+Inf", "a number from 1 to 1000"},
		{"set.cycle", "-1", "a number from 0 to 60"},
		{"set.span.1-4.most", "8.5", "a whole number from 0 to 100"},
		{"set.cycl", "1", "no number `cycl`; did you mean `cycle`?"},
		{"severity.hands/tigth", "off", "no rule or group `hands/tigth`; did you mean `hands/tight`?"},
		{"severity.xyzzy", "off", "no rule or group `xyzzy`"},
		{"severity.hands", "loud", "one of: off, error, warning, information, hint"},
		{"lowest", "C6", "from C0 to B4"},
		{"highest", "C4", "from C5 to B9"},
		{"undisced", "C1,H2", "`H2` names no string"},
		{"tuning", "Hb", "`Hb` is not understood"},
	} {
		t.Run(c.name+"="+c.text, func(t *testing.T) {
			set := rules.Defaults()
			assert.ErrorContains(t, set.SetText(c.name, c.text), c.says)
			assert.Equal(t, rules.Defaults(), set)
		})
	}
	set := rules.Defaults()
	for name, value := range map[string]any{"tempo": "60", "hand": 1., "undisced": "C1", "set.cycle": []string{"1"}, "lowest": true} {
		assert.ErrorContains(t, set.Set(name, value), "it must be", name)
	}
	assert.Equal(t, rules.Defaults(), set)
}

func TestTuning(t *testing.T) {
	set := rules.Defaults()
	require.NoError(t, set.SetText("instrument", "lever34"))
	require.NoError(t, set.SetText("tuning", "Bb,F#"))
	assert.Equal(t, [7]int8{0, 0, 0, 1, 0, 0, -1}, set.Instrument.Open)
	for _, wrong := range []string{"Bb,Bb", "B", "Hb", "Bbb", "b"} {
		assert.ErrorContains(t, set.SetText("tuning", wrong), "is not understood", wrong)
	}
	require.NoError(t, set.SetText("tuning", "none"))
	assert.Zero(t, set.Instrument.Open)
	require.NoError(t, set.SetText("instrument", "concert"), "a tuning for another harp is left aside")
	assert.Equal(t, harp.Concert(), set.Instrument)
}

// What is set lies on top of the named hand and harp in whatever order it comes,
// and copies of the settings do not share it.
func TestOrderOfSettings(t *testing.T) {
	a, b := rules.Defaults(), rules.Defaults()
	for _, s := range []string{"set.cycle=0.3", "hand=small", "lowest=D1", "instrument=pedal40"} {
		name, text, _ := strings.Cut(s, "=")
		require.NoError(t, a.SetText(name, text))
	}
	before := a
	for _, s := range []string{"instrument=pedal40", "lowest=D1", "hand=small", "set.cycle=0.3"} {
		name, text, _ := strings.Cut(s, "=")
		require.NoError(t, b.SetText(name, text))
	}
	assert.Equal(t, a, b)
	assert.Equal(t, .3, a.Hand.Cycle)
	assert.Equal(t, 8, a.Hand.Outer.Most)
	require.NoError(t, a.SetText("set.roll", "0.1"))
	require.NoError(t, a.SetText("severity.hands", "off"))
	assert.Equal(t, b, before)
}

// Every number of the hand and every default can be set, to what it is.
func TestSettingKeys(t *testing.T) {
	seen := map[string]bool{}
	set := rules.Defaults()
	for _, k := range rules.SettingKeys() {
		assert.False(t, seen[k.Name], k.Name)
		seen[k.Name] = true
		assert.NotEmpty(t, k.About, k.Name)
		assert.Contains(t, k.Allowed(), "it must be", k.Name)
		if k.Default != nil {
			assert.NoError(t, set.Set(k.Name, k.Default), k.Name)
		}
	}
	for _, c := range harp.Constants() {
		assert.True(t, seen["set."+c.Name], c.Name)
	}
	assert.Equal(t, rules.Defaults().Hand, set.Hand)
	assert.Equal(t, rules.Defaults().Instrument, set.Instrument)
}

const tune = "X:1\nT:t\n%%score {RH LH}\nM:4/4\nL:1/16\nQ:1/4=160\nK:C\n" +
	"[V:RH] DFdADFdADFdADFdA | D16 |\n[V:LH] [C,,A,]16 | D,16 |\n"

func TestLinesInTheScore(t *testing.T) {
	plain := run(t, tune, rules.Defaults())
	require.NotEmpty(t, ofRule(plain, "hands/turn"))
	require.NotEmpty(t, ofRule(plain, "hands/reach"))

	off := run(t, strings.Replace(tune, "M:4/4", "%%fourfold severity hands/turn=off hands/reach=hint\nM:4/4", 1), rules.Defaults())
	assert.Empty(t, ofRule(off, "hands/turn"))
	assert.Equal(t, rules.Hint, ofRule(off, "hands/reach")[0].Severity)

	slow := run(t, "%%fourfold tempo=30\n\n"+tune, rules.Defaults())
	assert.Empty(t, ofRule(slow, "hands/turn"), "a line of the file's header is for every tune")

	wide := run(t, strings.Replace(tune, "M:4/4", "%%fourfold set span.1-4.most=20 span.outer.most=20\nM:4/4", 1), rules.Defaults())
	assert.Empty(t, ofRule(wide, "hands/reach"))

	small := run(t, strings.Replace(tune, "M:4/4", "%%fourfold lowest=C3\nM:4/4", 1), rules.Defaults())
	assert.Len(t, ofRule(small, "strings/out-of-range"), 1)

	one := run(t, strings.Replace(tune, "M:4/4", "%%fourfold tempo=30\nM:4/4", 1)+"\n"+strings.Replace(tune, "X:1", "X:2", 1), rules.Defaults())
	for _, f := range ofRule(one, "hands/turn") {
		assert.Equal(t, "2", f.Tune, "a line of one tune is for that tune")
	}
	assert.NotEmpty(t, ofRule(one, "hands/turn"))
}

// Flags win over the line: what is pinned stays.
func TestPinned(t *testing.T) {
	set := rules.Defaults()
	require.NoError(t, set.SetText("tempo", "30"))
	set.Pin("tempo")
	found := run(t, "%%fourfold tempo=300 severity.hands=off\n"+tune, set)
	assert.Empty(t, ofRule(found, "hands/turn"))
}

func TestWrongLines(t *testing.T) {
	for _, c := range []struct{ line, at, says string }{
		{"hand=tiny", "hand=tiny", "`hand=tiny` has no effect: it must be one of: standard, small."},
		{"hand=small set", "set", "`set` is not understood"},
		{"cycle=1", "cycle=1", "belongs under `set`"},
		{"hands=off", "hands=off", "belongs under `severity`"},
		{"set cycle=0.2 cycl=1", "cycl=1", "did you mean `cycle`?"},
		{"set span.1-4.most=8.5", "span.1-4.most=8.5", "a whole number"},
		{"severity hands/tight=loud", "hands/tight=loud", "one of: off"},
		{"tuning=Bb", "tuning=Bb", "only a lever harp is tuned so, and this is a concert pedal harp"},
		{"severity", "severity", "Nothing follows `severity`"},
		{"harp RH XX", "XX", "the tune has no voice `V:XX`"},
		{"harp", "harp", "No voice follows"},
		{"harp lever34", "lever34", "write `%%fourfold instrument=lever34`"},
		{"harp=lever34", "harp=lever34", "did you mean `instrument`?"},
		{"=", "=", "`=` is not understood"},
		{"ünfug\xff", "ünfug\xff", "is not understood"},
		{"   ", "", "sets nothing"},
	} {
		t.Run(c.line, func(t *testing.T) {
			text := strings.Replace(tune, "M:4/4", "%%fourfold "+c.line+"\nM:4/4", 1)
			found := ofRule(run(t, text, rules.Defaults()), "fourfold/setting")
			require.Len(t, found, 1)
			assert.Equal(t, c.at, text[found[0].Span.Start:found[0].Span.End])
			assert.Contains(t, found[0].Message, c.says)
			assert.Equal(t, rules.Warning, found[0].Severity)
		})
	}
}

// A wrong line of the file's header is one finding however many tunes there are.
func TestWrongLineOfTheFile(t *testing.T) {
	text := "%%fourfold hand=tiny\n\n" + tune + "\n" + strings.Replace(tune, "X:1", "X:2", 1)
	found := ofRule(run(t, text, rules.Defaults()), "fourfold/setting")
	require.Len(t, found, 1)
	assert.Empty(t, found[0].Tune)
}

// Any number, however odd, gives an answer.
func TestEveryNumberAtItsEnds(t *testing.T) {
	for _, k := range rules.SettingKeys() {
		if k.Kind != rules.NumberSetting {
			continue
		}
		for _, v := range []float64{k.Least, k.Most} {
			set := rules.Defaults()
			require.NoError(t, set.Set(k.Name, v), k.Name)
			for _, f := range run(t, tune, set) {
				assert.NotContains(t, f.Message, "NaN", k.Name)
				assert.NotContains(t, f.Message, "Inf", k.Name)
				if f.Speed != nil {
					assert.False(t, slices.ContainsFunc([]float64{f.Speed.Load, f.Speed.HoldsUpTo, f.Speed.ComfortableUpTo},
						func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) }), k.Name)
				}
			}
		}
	}
}
