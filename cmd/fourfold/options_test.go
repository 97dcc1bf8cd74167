package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every command has a manual, and there is none for a command that is not.
func TestEveryCommandHasAManual(t *testing.T) {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
		assert.Contains(t, manuals(), c.name)
	}
	assert.Len(t, manuals(), len(names), names)
}

// The manuals list the flags that the commands define: all of them, by name.
func TestManualsListTheFlags(t *testing.T) {
	defined := map[string]bool{}
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			if flag := flagDefined(n); flag != "" {
				defined[flag] = true
			}
			return true
		})
	}
	listed := map[string]bool{}
	for _, m := range manuals() {
		for _, o := range m.options {
			listed[o.name] = true
			assert.NotEmpty(t, o.about, o.name)
		}
	}
	assert.Equal(t, defined, listed)
}

// flagDefined gives the name in a call such as flags.String("name", …).
func flagDefined(n ast.Node) string {
	call, ok := n.(*ast.CallExpr)
	if !ok {
		return ""
	}
	f, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return ""
	}
	if on, ok := f.X.(*ast.Ident); !ok || on.Name != "flags" {
		return ""
	}
	for _, arg := range call.Args[:min(2, len(call.Args))] {
		if lit, ok := arg.(*ast.BasicLit); ok && lit.Kind == token.STRING && f.Sel.Name != "NewFlagSet" {
			name, _ := strconv.Unquote(lit.Value)
			return name
		}
	}
	return ""
}

// A command knows each flag that its manual lists, and its help names it.
func TestCommandsKnowTheirFlags(t *testing.T) {
	for _, c := range commands() {
		_, help, more := call(c.name, "--help")
		for _, o := range manuals()[c.name].options {
			assert.Regexp(t, `(^|[^-a-z])`+regexp.QuoteMeta(o.dashes())+`\b`, help+more, c.name)
			// A second, unknown flag ends the call before anything is done.
			args := []string{c.name, o.dashes()}
			if o.value != "" {
				value := "1"
				if len(o.words) > 0 {
					value = o.words[0]
				}
				args = append(args, value)
			}
			_, _, stderr := call(append(args, "--no-such-flag")...)
			assert.Contains(t, stderr, "there is no option --no-such-flag", "%s %s", c.name, o.name)
		}
	}
}

func TestParseFlags(t *testing.T) {
	for _, c := range []struct{ args, words, value string }{
		{"a --x 1 b", "a b", "1"},
		{"--x=2 a", "a", "2"},
		{"a -- --x b", "a --x b", ""},
		{"a -x 3 - b", "a - b", "3"},
		{"-- -- a", "-- a", ""},
		{"", "", ""},
	} {
		var said strings.Builder
		flags := newFlags("test", "", &said)
		x := flags.String("x", "", "")
		words, _, ok := parseFlags(flags, strings.Fields(c.args), &said)
		assert.True(t, ok, c.args)
		assert.Equal(t, strings.Fields(c.words), append([]string{}, words...), c.args)
		assert.Equal(t, c.value, *x, c.args)
	}
}

func TestCompletion(t *testing.T) {
	for _, shell := range shells {
		code, script, stderr := call("completion", shell)
		assert.Zero(t, code)
		assert.Empty(t, stderr)
		for _, c := range commands() {
			assert.Contains(t, script, c.name, shell)
			for _, o := range manuals()[c.name].options {
				assert.Contains(t, script, o.name, shell)
			}
		}
		assertParses(t, shell, script)
	}
	for _, args := range [][]string{{"completion"}, {"completion", "tcsh"}, {"completion", "bash", "zsh"}} {
		code, _, stderr := call(args...)
		assert.Equal(t, 2, code)
		assert.Contains(t, stderr, "name one shell: bash, zsh or fish")
	}
}

// assertParses has the shell read the script, where the shell is installed.
func assertParses(t *testing.T, shell, script string) {
	t.Helper()
	path, err := exec.LookPath(shell)
	if err != nil {
		t.Logf("%s is not installed: its completion is not read by it", shell)
		return
	}
	file := filepath.Join(t.TempDir(), "completion")
	require.NoError(t, os.WriteFile(file, []byte(script), 0o600))
	out, err := exec.Command(path, "-n", file).CombinedOutput()
	assert.NoError(t, err, string(out))
}

// The shell itself completes with the script.
func TestBashCompletes(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("bash is not installed")
	}
	_, script, _ := call("completion", "bash")
	inFolder(t, map[string]string{"one.abc": ""})
	for _, c := range []struct {
		typed string // the last word is being typed
		want  []string
	}{
		{"fourfold che", []string{"check"}},
		{"fourfold check --form", []string{"--format"}},
		{"fourfold check --format s", []string{"sarif"}},
		{"fourfold check on", []string{"one.abc"}},
		{"fourfold explain hands/tu", []string{"hands/turn"}},
		{"fourfold completion f", []string{"fish"}},
		{"fourfold hands --strokes o", []string{"one.abc"}},
		{"fourfold check --tempo o", nil},
	} {
		words := strings.Fields(c.typed)
		text := script + "\nCOMP_WORDS=(" + c.typed + ")\nCOMP_CWORD=" + strconv.Itoa(len(words)-1) + "\n_fourfold\nprintf '%s\\n' \"${COMPREPLY[@]}\"\n"
		out, err := exec.Command(bash, "-c", text).CombinedOutput()
		require.NoError(t, err, string(out))
		got := strings.Fields(string(out))
		slices.Sort(got)
		assert.Equal(t, append([]string{}, c.want...), append([]string{}, got...), c.typed)
	}
}

func TestFishCompletes(t *testing.T) {
	fish, err := exec.LookPath("fish")
	if err != nil {
		t.Skip("fish is not installed")
	}
	_, script, _ := call("completion", "fish")
	inFolder(t, map[string]string{"completion.fish": script})
	for typed, want := range map[string]string{
		"fourfold che": "check", "fourfold check --format s": "sarif", "fourfold explain hands/tu": "hands/turn", "fourfold completion z": "zsh",
	} {
		out, err := exec.Command(fish, "-c", "source completion.fish; complete -C '"+typed+"'").CombinedOutput()
		require.NoError(t, err, string(out))
		word, _, _ := strings.Cut(strings.TrimSpace(string(out)), "\t")
		assert.Equal(t, want, word, typed)
	}
}

func TestMan(t *testing.T) {
	code, page, stderr := call("man")
	assert.Zero(t, code)
	assert.Empty(t, stderr)
	for _, c := range commands() {
		assert.Contains(t, page, `"fourfold `+c.name)
		for _, o := range manuals()[c.name].options {
			assert.Contains(t, page, ".B "+roff(o.dashes()))
		}
	}
	assert.Equal(t, `\&.x\e\-`, roff(`.x\-`))
	code, _, stderr = call("man", "check")
	assert.Equal(t, 2, code)
	assert.Contains(t, stderr, "takes nothing more")
	groff, err := exec.LookPath("groff")
	if err != nil {
		t.Log("groff is not installed: the page is not set by it")
		return
	}
	set := exec.Command(groff, "-man", "-Tutf8", "-ww")
	set.Stdin = strings.NewReader(page)
	var said strings.Builder
	set.Stderr = &said
	assert.NoError(t, set.Run())
	assert.Empty(t, said.String())
}
