package fix_test

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// TestFixesHoldTheirPromises takes every fix of every finding in the test scores and
// checks what it says by other means than it was proved by: on the whole text, with
// lists of keys instead of strings.
func TestFixesHoldTheirPromises(t *testing.T) {
	var files []string
	require.NoError(t, filepath.WalkDir("../../testdata", func(path string, _ fs.DirEntry, err error) error {
		if filepath.Ext(path) == ".abc" {
			files = append(files, path)
		}
		return err
	}))
	require.NotEmpty(t, files)
	fixes := 0
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			r := read(t, text)
			for _, f := range r.findings {
				a := fix.Find(context.Background(), r.question(f))
				assert.Equal(t, len(a.Fixes) == 0, a.Why != "", "either a fix or a reason: %s, bar %d", f.Rule, f.Bar)
				assert.LessOrEqual(t, len(a.Fixes), 5)
				for _, fx := range a.Fixes {
					checkPromise(t, text, r, f, fx)
					fixes++
				}
			}
		})
	}
	assert.Positive(t, fixes)
}

// checkPromise applies a fix to the whole text.
func checkPromise(t *testing.T, text []byte, r reading, f rules.Finding, fx fix.Fix) {
	if fx.Family == "notation" {
		return
	}
	label := fmt.Sprintf("%s: %s, bar %d", fx.Title, f.Rule, f.Bar)
	after := applyAll(text, fx.Edits)
	s := score.Build(syntax.Parse(after))
	require.Equal(t, len(r.score.Tunes), len(s.Tunes), label)
	for i, was := range r.score.Tunes {
		is := s.Tunes[i]
		require.Equal(t, barLengths(was), barLengths(is), label)
		if was.Number != f.Tune || !was.Span.Holds(f.Span) {
			assert.Equal(t, keys(was, false), keys(is, false), label)
			continue
		}
		checkMusic(t, was, is, fx, label)
		checkText(t, text, after, was, is, fx, label)
		_, before := rules.RunAsWritten(text, was, settingsOf(was))
		_, now := rules.RunAsWritten(after, is, settingsOf(is))
		checkFindings(t, f, fx, before, now, label)
	}
	assert.NotEmpty(t, fx.Before, label)
	assert.NotEqual(t, fx.Before, fx.After, label)
}

func settingsOf(t *score.Tune) rules.Settings {
	set, _ := rules.Defaults().ForTune(t)
	return set
}

func applyAll(text []byte, edits []score.Edit) []byte {
	sorted := append([]score.Edit{}, edits...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Span.Start > sorted[j].Span.Start })
	out := string(text)
	for _, e := range sorted {
		out = out[:e.Span.Start] + e.Text + out[e.Span.End:]
	}
	return []byte(out)
}

func barLengths(t *score.Tune) (out [][]score.Frac) {
	for _, v := range t.Voices {
		var list []score.Frac
		for b := range v.Bars() {
			list = append(list, v.Bars()[b].Length)
		}
		out = append(out, list)
	}
	return out
}

// keys lists what is struck: voice, bar, place, key. Without voices, the lists of
// all are one.
func keys(t *score.Tune, together bool) (out []string) {
	for v, voice := range t.Voices {
		if together {
			v = 0
		}
		for b := range voice.Bars() {
			for _, ev := range voice.Bars()[b].Events() {
				for _, n := range ev.Notes {
					out = append(out, fmt.Sprintf("%d %d %v %d", v, b, ev.Onset, n.Midi))
				}
			}
		}
	}
	sort.Strings(out)
	return out
}

// counted gives how often each key, or with mod each key's class, is struck in a bar.
func counted(t *score.Tune, mod int) map[string]int {
	out := map[string]int{}
	for v, voice := range t.Voices {
		for b := range voice.Bars() {
			for _, ev := range voice.Bars()[b].Events() {
				for _, n := range ev.Notes {
					out[fmt.Sprintf("%d %d %d", v, b, n.Midi%mod)]++
				}
			}
		}
	}
	return out
}

// outline gives at each place the classes of bottom and top, and the set of all.
func outline(t *score.Tune) map[string][3]int {
	low, high, out := map[string]int{}, map[string]int{}, map[string][3]int{}
	for _, voice := range t.Voices {
		for b := range voice.Bars() {
			for _, ev := range voice.Bars()[b].Events() {
				for _, n := range ev.Notes {
					if n.TieFrom {
						continue
					}
					at := fmt.Sprintf("%d %v", b, ev.Onset)
					o, known := out[at]
					if !known || n.Midi < low[at] {
						low[at], o[0] = n.Midi, n.Midi%12
					}
					if !known || n.Midi > high[at] {
						high[at], o[1] = n.Midi, n.Midi%12
					}
					o[2] |= 1 << (n.Midi % 12)
					out[at] = o
				}
			}
		}
	}
	return out
}

func checkMusic(t *testing.T, was, is *score.Tune, fx fix.Fix, label string) {
	const all = 1 << 20
	switch fx.Family {
	case "reorder", "other-end":
		assert.Equal(t, counted(was, all), counted(is, all), label)
	case "split", "hand-over", "spread":
		assert.Equal(t, keys(was, true), keys(is, true), label)
	case "roll", "together", "strokes", "marks", "tempo":
		assert.Equal(t, keys(was, false), keys(is, false), label)
	case "respell", "passage", "two-strings":
		assert.Equal(t, keys(was, false), keys(is, false), label)
	case "octave":
		assert.Equal(t, counted(was, 12), counted(is, 12), label)
	case "doubled", "voicing":
		assert.Equal(t, outline(was), outline(is), label)
	case "thin":
		for at, o := range outline(is) {
			w := outline(was)[at]
			assert.Equal(t, [2]int{w[0], w[1]}, [2]int{o[0], o[1]}, label)
			assert.Zero(t, o[2]&^w[2], label)
		}
	case "grace", "tremolo":
		assert.Subset(t, keys(is, false), keys(was, false), label)
	default:
		assert.Fail(t, "a family without a promise", fx.Family)
	}
}

// checkFindings: one finding less of its kind, and as severe ones nowhere more.
func checkFindings(t *testing.T, f rules.Finding, fx fix.Fix, before, after []rules.Finding, label string) {
	count := func(list []rules.Finding, ok func(g rules.Finding) bool) (n int) {
		for _, g := range list {
			if ok(g) {
				n++
			}
		}
		return n
	}
	own := func(g rules.Finding) bool {
		return g.Rule == f.Rule && g.Hand == f.Hand && g.EndBar >= f.Bar && g.Bar <= f.EndBar &&
			(!fx.Slower || f.Hand == "" || g.From <= f.To && f.From <= g.To)
	}
	assert.Less(t, count(after, own), count(before, own), label)
	if fx.Slower {
		return
	}
	table := rules.Severities()
	for _, g := range after {
		if table[g.Rule] == rules.Off || table[g.Rule] > table[f.Rule] || g.EndBar < f.Bar-1 || g.Bar > f.EndBar+1 {
			continue
		}
		alike := func(x rules.Finding) bool {
			return x.Rule == g.Rule && x.Voice == g.Voice && x.EndBar >= f.Bar-1 && x.Bar <= f.EndBar+1
		}
		assert.LessOrEqual(t, count(after, alike), count(before, alike), "%s brings %s", label, g.Message)
	}
}
