package review

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis/rules"
)

var update = flag.Bool("update", false, "draw the pictures of the rules anew")

// TestRulePictures: every rule has an example in which it finds something, and the
// page for composers shows what is drawn from it.
func TestRulePictures(t *testing.T) {
	kept := map[string]bool{}
	for _, r := range rules.All() {
		svg, err := RulePicture(r.Name)
		if !assert.NoError(t, err, "write a short score in analysis/rules/examples in which the rule finds something") {
			continue
		}
		file := filepath.Join("..", "rules", filepath.FromSlash(rules.PictureFile(r.Name)))
		kept[filepath.Base(file)] = true
		if *update {
			require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
			require.NoError(t, os.WriteFile(file, svg, 0o644))
		}
		want, err := os.ReadFile(file)
		if assert.NoError(t, err) {
			assert.Equal(t, string(want), string(svg), "draw it anew: go test ./analysis/review -run RulePictures -update")
		}
		assert.NoError(t, wellFormed(svg), r.Name)
		assert.Less(t, len(svg), 40<<10, r.Name)
	}
	stored, err := filepath.Glob("../rules/pictures/*")
	require.NoError(t, err)
	for _, file := range stored {
		assert.True(t, kept[filepath.Base(file)], "%s belongs to no rule", file)
	}
}

func wellFormed(text []byte) error {
	for d := xml.NewDecoder(bytes.NewReader(text)); ; {
		if _, err := d.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestRulePictureRefuses(t *testing.T) {
	_, err := RulePicture("hands/none")
	assert.ErrorContains(t, err, "has no example")
}

func TestWrapped(t *testing.T) {
	assert.Equal(t, []string{"one two", "three"}, wrapped("one  two three", 8))
	assert.Equal(t, []string{""}, wrapped("", 8))
}
