package fix_test

import (
	"context"
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

// TestKeyboardMusic asks for fixes of every warning in keyboard pieces read as
// harp parts, and says how many have one.
func TestKeyboardMusic(t *testing.T) {
	corpus := os.Getenv("FOURFOLD_CORPUS")
	if corpus == "" {
		t.Skip("FOURFOLD_CORPUS names no folder: its sibling repertoire/keyboard is not read")
	}
	files, err := filepath.Glob(filepath.Join(corpus, "../repertoire/keyboard/*.abc"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	all := newShares()
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		all.file(t, text)
	}
	all.log(t)
	assert.GreaterOrEqual(t, all.share(), 0.8)
}

// reading is a text with its findings.
type reading struct {
	file     *syntax.File
	score    *score.Score
	parts    []*rules.Part
	findings []rules.Finding
}

func read(t testing.TB, text []byte) reading {
	r := reading{file: syntax.Parse(text)}
	r.score = score.Build(r.file)
	var err error
	r.parts, r.findings, err = rules.Run(context.Background(), text, r.score, rules.Defaults())
	require.NoError(t, err)
	return r
}

func (r reading) question(f rules.Finding) fix.Question {
	return fix.Question{File: r.file, Score: r.score, Finding: f, Settings: rules.Defaults()}
}

// shares counts what was found.
type shares struct {
	rule    map[string]*counts
	refused map[string]int
	family  map[string]int
	tried   int
}

type counts struct{ warnings, fixed, musical int }

func newShares() *shares {
	return &shares{rule: map[string]*counts{}, refused: map[string]int{}, family: map[string]int{}}
}

// file counts the warnings of a text. Every fix of each is taken by itself and the
// whole text analysed again.
func (s *shares) file(t *testing.T, text []byte) {
	r := read(t, text)
	for _, f := range r.findings {
		if f.Severity > rules.Warning || f.Severity == rules.Off || isNotation(f.Rule) {
			continue
		}
		a := fix.Find(context.Background(), r.question(f))
		s.add(f, a)
		for _, fx := range a.Fixes {
			checkPromise(t, text, r, f, fx)
		}
	}
}

func (s *shares) add(f rules.Finding, a fix.Answer) {
	c := s.rule[f.Rule]
	if c == nil {
		c = &counts{}
		s.rule[f.Rule] = c
	}
	c.warnings++
	s.tried += a.Tried
	for why, n := range a.Refused {
		s.refused[why] += n
	}
	if len(a.Fixes) == 0 {
		return
	}
	c.fixed++
	s.family[a.Fixes[0].Family]++
	if !a.Fixes[0].Slower {
		c.musical++
	}
}

func isNotation(rule string) bool {
	return len(rule) > 9 && rule[:9] == "notation/" || len(rule) > 6 && rule[:6] == "tempo/"
}

func (s *shares) share() float64 {
	warnings, fixed := 0, 0
	for _, c := range s.rule {
		warnings, fixed = warnings+c.warnings, fixed+c.fixed
	}
	return float64(fixed) / float64(max(1, warnings))
}

func (s *shares) log(t *testing.T) {
	var names []string
	for name := range s.rule {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		c := s.rule[name]
		t.Logf("%-22s %4d warnings, %4d with a fix (%3.0f %%), %4d of them beside a slower tempo (%3.0f %%)", name, c.warnings,
			c.fixed, 100*float64(c.fixed)/float64(c.warnings), c.musical, 100*float64(c.musical)/float64(c.warnings))
	}
	t.Logf("all: %.1f %%; %d candidates tried", 100*s.share(), s.tried)
	for _, table := range []map[string]int{s.refused, s.family} {
		var keys []string
		for k := range table {
			keys = append(keys, k)
		}
		sort.Slice(keys, func(i, j int) bool { return table[keys[i]] > table[keys[j]] })
		for _, k := range keys {
			t.Logf("%6d %s", table[k], k)
		}
	}
}
