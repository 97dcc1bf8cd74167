package analysis_test

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// movements of the harp part of Mozart's concerto for flute and harp, K. 299, with a
// tempo in quarters a minute: the edition prints none. The first is ours, from memory
// of performances; the second is that of the same edition's playback.
var movements = map[string]float64{"k299-1": 120, "k299-3": 110}

// movement reads one; it skips where there is no corpus.
func movement(t *testing.T, name string, tempo float64) *analysis.Reading {
	t.Helper()
	corpus := os.Getenv("FOURFOLD_CORPUS")
	if corpus == "" {
		t.Skip("FOURFOLD_CORPUS is not set: the Mozart part is skipped")
	}
	text, err := os.ReadFile(filepath.Join(corpus, "mutopia-harp", name+".abc"))
	if os.IsNotExist(err) {
		t.Skip("no Mozart part in FOURFOLD_CORPUS: skipped")
	}
	require.NoError(t, err)
	set := rules.Defaults()
	set.Tempo = tempo
	r, err := analysis.Read(context.Background(), syntax.Parse(text), set)
	require.NoError(t, err)
	return r
}

// hardBar is one bar of one hand.
type hardBar struct {
	rules.Ceiling
	hand *rules.Hand
}

// The ten hardest bars of each movement, with the fingering chosen.
func TestMozartsHardestBars(t *testing.T) {
	for name, tempo := range movements {
		t.Run(name, func(t *testing.T) {
			r := movement(t, name, tempo)
			require.Len(t, r.Parts(), 1)
			p := r.Parts()[0]
			var bars []hardBar
			for _, h := range p.Played {
				for _, c := range p.BarCeilings(h) {
					bars = append(bars, hardBar{c, h})
				}
			}
			slices.SortStableFunc(bars, func(a, b hardBar) int { return cmp.Compare(b.Load, a.Load) })
			require.Greater(t, len(bars), 100)
			for _, b := range bars[:10] {
				t.Logf("bar %d, %s: load %.2f at a quarter = %.0f, holds up to %.0f: %s", b.Bar, b.hand.Name, b.Load, tempo, b.HoldsUpTo, fingered(p, b))
				assert.Positive(t, b.Load)
			}
		})
	}
}

// fingered writes the groups of a bar, each note with its finger.
func fingered(p *rules.Part, b hardBar) string {
	var groups []string
	for _, pl := range b.hand.Solution.Placings {
		if pl.To < b.From || pl.From > b.To {
			continue
		}
		var notes []string
		for i := pl.From; i <= pl.To; i++ {
			for j, pluck := range b.hand.Plucks[i] {
				notes = append(notes, fmt.Sprintf("%s=%d", rules.PitchName(pluck.Note.String, pluck.Note.Alter), pl.Fingers[i-pl.From][j]))
			}
		}
		groups = append(groups, strings.Join(notes, " "))
	}
	return strings.Join(groups, " | ")
}

var explainedRow = regexp.MustCompile(`(?m)^\| ([a-z0-9-]+) \| (\d+) \| ([a-z-]+/[a-z-]+) \| (\S.*?) \| (\S.*?) \|$`)

// explained are the warnings that REPERTOIRE.md looks at: "piece bar rule".
func explained(t *testing.T) (rows []string) {
	text, err := os.ReadFile("REPERTOIRE.md")
	require.NoError(t, err)
	for _, m := range explainedRow.FindAllStringSubmatch(string(text), -1) {
		rows = append(rows, fmt.Sprint(m[1], " ", m[2], " ", m[3]))
		assert.Contains(t, []string{"bug", "true difficulty", "limit of the model", "slip of the source"}, m[4], m[0])
	}
	require.NotEmpty(t, rows)
	slices.Sort(rows)
	return rows
}

// Every warning on music for the harp was looked at by hand, and no other is listed.
func TestEveryWarningOnHarpMusicIsExplained(t *testing.T) {
	want := explained(t)
	var got []string
	for name, tempo := range movements {
		got = append(got, warningsOf(name, movement(t, name, tempo))...)
	}
	for _, c := range repertoire(t, "harp") {
		got = append(got, c.found...)
	}
	slices.Sort(got)
	assert.Equal(t, want, got)
}

// warningsOf lists the warnings of a piece: "piece bar rule".
func warningsOf(name string, r *analysis.Reading) (out []string) {
	for _, f := range r.Findings() {
		if f.Severity <= rules.Warning && !strings.HasPrefix(f.Rule, "notation/") {
			out = append(out, fmt.Sprint(name, " ", f.Bar, " ", f.Rule))
		}
	}
	return out
}
