package analysis_test

import (
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/rules"
)

// tally is what one piece holds.
type tally struct {
	name     string
	strokes  int
	bars     int
	warnings int
	loud     map[int]int // warnings by bar
	found    []string    // see warningsOf
}

func (t tally) perHundred() float64 { return 100 * float64(t.warnings) / float64(t.strokes) }

// repertoire reads the scores of a folder beside the corpus: music written for the
// harp, and keyboard music laid on a harp's stand unchanged.
func repertoire(t *testing.T, folder string) (out []tally) {
	corpus := os.Getenv("FOURFOLD_CORPUS")
	if corpus == "" {
		t.Skip("FOURFOLD_CORPUS is not set: the repertoire is skipped")
	}
	files, err := filepath.Glob(filepath.Join(corpus, "..", "repertoire", folder, "*.abc"))
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skip("no repertoire beside FOURFOLD_CORPUS: skipped")
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		out = append(out, tallyOf(t, strings.TrimSuffix(filepath.Base(file), ".abc"), string(text)))
	}
	return out
}

// tallyOf counts the warnings about hands, strings and feet.
func tallyOf(t *testing.T, name, text string) tally {
	r := read(t, text)
	c := tally{name: name, loud: map[int]int{}}
	for _, p := range r.Parts() {
		c.bars = max(c.bars, p.Timeline.Bars())
		for _, h := range p.Hands() {
			c.strokes += len(h.Strokes)
		}
	}
	c.found = warningsOf(name, r)
	for _, f := range r.Findings() {
		if f.Severity <= rules.Warning && !strings.HasPrefix(f.Rule, "notation/") {
			c.warnings++
			for b := f.Bar; b <= f.EndBar; b++ {
				c.loud[b]++
			}
		}
	}
	return c
}

// Music for the harp reads as written by somebody who knows it; keyboard music that
// is chromatic or like a toccata does not. The scores and where they come from:
// their README.
func TestRepertoireSeparates(t *testing.T) {
	harp, keyboard := repertoire(t, "harp"), repertoire(t, "keyboard")
	for _, c := range append(append([]tally{}, harp...), keyboard...) {
		t.Logf("%-26s %5d strokes %4d bars %4d warnings %6.2f in 100 strokes, %5.2f a bar", c.name, c.strokes, c.bars, c.warnings,
			c.perHundred(), float64(c.warnings)/float64(c.bars))
	}
	h, k := rate(harp), rate(keyboard)
	t.Logf("together: harp %.2f, keyboard %.2f in 100 strokes", h, k)
	t.Logf("area under the ROC curve: over pieces %.3f, over bars %.3f", pieceArea(harp, keyboard), barArea(harp, keyboard))
	assert.Less(t, h, 1.0)
	assert.Greater(t, k, 5*h)
}

func rate(list []tally) float64 {
	warnings, strokes := 0, 0
	for _, c := range list {
		warnings += c.warnings
		strokes += c.strokes
	}
	return 100 * float64(warnings) / float64(strokes)
}

// pieceArea is the chance that a keyboard piece has more warnings in 100 strokes
// than a harp part.
func pieceArea(harp, keyboard []tally) float64 {
	scores := func(list []tally) (out []float64) {
		for _, c := range list {
			out = append(out, c.perHundred())
		}
		return out
	}
	return area(scores(harp), scores(keyboard))
}

// barArea is the same over bars and the warnings in each.
func barArea(harp, keyboard []tally) float64 {
	scores := func(list []tally) (out []float64) {
		for _, c := range list {
			for b := 1; b <= c.bars; b++ {
				out = append(out, float64(c.loud[b]))
			}
		}
		return out
	}
	return area(scores(harp), scores(keyboard))
}

// area is the area under the ROC curve: the chance that a score of the second kind is
// larger than one of the first, ties counted half.
func area(first, second []float64) float64 {
	sum := 0.0
	for _, a := range first {
		for _, b := range second {
			switch {
			case b > a:
				sum++
			case b == a:
				sum += 0.5
			}
		}
	}
	return sum / float64(len(first)*len(second))
}

func TestArea(t *testing.T) {
	assert.Equal(t, 1.0, area([]float64{0, 1}, []float64{2, 3}))
	assert.Equal(t, 0.5, area([]float64{0, 1}, []float64{0, 1}))
	assert.Equal(t, 0.0, area([]float64{2}, []float64{1, 1}))
}

// The quiet keyboard pieces, which harpists do play, stay quiet.
func TestQuietKeyboardMusicIsQuiet(t *testing.T) {
	var quiet []string
	for _, c := range repertoire(t, "keyboard") {
		if c.warnings <= 1 {
			quiet = append(quiet, c.name)
		}
	}
	sort.Strings(quiet)
	t.Log("at most one warning:", quiet)
	assert.Subset(t, quiet, []string{"bach-invention-01", "chopin-prelude-28-04", "burgmuller-arabesque", "czerny-821-09"})
}
