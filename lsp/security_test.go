package lsp

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// writers are the functions of package os that change a disk.
var writers = []string{
	"Chmod", "Chown", "Chtimes", "CopyFS", "Create", "CreateTemp", "Link", "Mkdir", "MkdirAll", "MkdirTemp", "NewFile", "OpenFile",
	"Pipe", "Remove", "RemoveAll", "Rename", "StartProcess", "Symlink", "Truncate", "WriteFile",
}

// mayWrite are the files that may call them, and why.
var mayWrite = map[string]string{
	"openreview.go": "the page that the user asked to see, in the user's cache folder",
}

// mayNotImport are packages that open ports, run commands or load code.
var mayNotImport = []string{"net", "net/http", "net/rpc", "os/exec", "plugin", "syscall", "unsafe", "C"}

// mayImportAll are the files that may import one of them all the same, and why.
var mayImportAll = map[string]string{
	"parent_unix.go": "asks the system whether the editor's process is there",
}

// TestServeOpensNoPort: nothing that the server is made of opens a port, runs a
// command, loads code or writes a file by itself. The libraries can open ports; that
// they are not asked to is shown with the real server.
func TestServeOpensNoPort(t *testing.T) {
	packages := ownPackages(t)
	require.Greater(t, len(packages), 10)
	files := 0
	for _, p := range packages {
		for _, name := range p.GoFiles {
			files++
			file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, 0)
			require.NoError(t, err)
			for _, i := range file.Imports {
				path, err := strconv.Unquote(i.Path.Value)
				require.NoError(t, err)
				if mayImportAll[name] == "" {
					assert.NotContains(t, mayNotImport, path, "%s/%s", p.ImportPath, name)
				}
			}
			for _, call := range callsOf(file, "os") {
				if mayWrite[name] == "" {
					assert.NotContains(t, writers, call, "%s/%s", p.ImportPath, name)
				}
			}
		}
	}
	assert.Greater(t, files, 100)
}

// ownPackage is one of this module's.
type ownPackage struct {
	Dir, ImportPath string
	GoFiles         []string
}

// ownPackages are those of this module that the server is made of.
func ownPackages(t *testing.T) (all []ownPackage) {
	out, err := exec.Command("go", "list", "-deps", "-json=Dir,ImportPath,GoFiles", "fourfold/lsp").Output()
	require.NoError(t, err)
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p ownPackage
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else {
			require.NoError(t, err)
		}
		if strings.HasPrefix(p.ImportPath, "fourfold/") {
			all = append(all, p)
		}
	}
}

// callsOf are the names that a file uses of a package, in the order of the alphabet.
func callsOf(file *ast.File, name string) (used []string) {
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == name && x.Obj == nil {
				used = append(used, s.Sel.Name)
			}
		}
		return true
	})
	slices.Sort(used)
	return slices.Compact(used)
}
