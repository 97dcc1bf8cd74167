package lsp

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// floors are the packages from the top of the house down: each may import only
// what stands below it. A folder that is not listed stands with its parent.
var floors = []string{
	"cmd/fourfold",
	"lsp",
	"lsp/lsptest",
	"lsp/protocol",
	"analysis/review",
	"analysis",
	"analysis/fix",
	"analysis/rules",
	"analysis/feet",
	"analysis/hands",
	"analysis/harp",
	"parser",
	"parser/score",
	"parser/syntax",
}

// floorOf gives how far down a folder of the module stands.
func floorOf(folder string) int {
	best, length := -1, 0
	for i, f := range floors {
		if (folder == f || strings.HasPrefix(folder, f+"/")) && len(f) >= length {
			best, length = i, len(f)
		}
	}
	return best
}

// TestFloors: data flows one way, and so do imports.
func TestFloors(t *testing.T) {
	checked := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && d.Name() != "..") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		folder := filepath.ToSlash(strings.TrimPrefix(filepath.Dir(path), ".."+string(filepath.Separator)))
		for _, i := range file.Imports {
			name, err := strconv.Unquote(i.Path.Value)
			require.NoError(t, err)
			checked++
			checkImport(t, path, folder, name)
		}
		return nil
	})
	require.NoError(t, err)
	assert.Positive(t, checked)
}

func checkImport(t *testing.T, path, folder, name string) {
	below, ours := strings.CutPrefix(name, "fourfold/")
	switch {
	case ours:
		from, to := floorOf(folder), floorOf(below)
		if from >= 0 && to >= 0 {
			assert.LessOrEqual(t, from, to, "%s imports %s, which stands above it", path, name)
		}
	case folder == "analysis/settings":
		assert.True(t, !strings.Contains(name, ".") || strings.HasPrefix(name, "github.com/pelletier/go-toml/v2"), "%s imports %s: the settings need only Go and TOML", path, name)
	case strings.HasPrefix(folder, "parser"), strings.HasPrefix(folder, "analysis"):
		assert.NotContains(t, name, ".", "%s imports %s: the parser and the analysis need only Go itself", path, name)
	}
}
