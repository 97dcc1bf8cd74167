package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/owenrumney/go-sarif/v3/pkg/report/v210/sarif"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xeipuuv/gojsonschema"

	"fourfold/analysis/rules"
)

// turning is too fast for both hands: at 200 quarters a minute, not at 30.
const turning = "X:1\nT:t\n%%score {RH LH}\nM:4/4\nL:1/16\nQ:1/4=200\nK:C\n" +
	"V:RH\nDFdADFdADFdADFdA|\nV:LH\nD,F,D,A,D,F,D,A,D,F,D,A,D,F,D,A,|\n"

// call runs the program as from a shell.
func call(args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = run(args, &out, &errs)
	return code, out.String(), errs.String()
}

// inFolder makes a folder with files and goes there.
func inFolder(t *testing.T, files map[string]string) {
	t.Helper()
	folder := t.TempDir()
	for name, text := range files {
		path := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	}
	t.Chdir(folder)
}

// found reads the lines of JSON.
func found(t *testing.T, stdout string) (out []finding) {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(stdout))
	d.DisallowUnknownFields()
	for {
		var f finding
		err := d.Decode(&f)
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		out = append(out, f)
	}
}

func has(fs []finding, rule string) bool {
	return slices.ContainsFunc(fs, func(f finding) bool { return f.Rule == rule })
}

// Every way to call check, with its exit code and what it says.
func TestCheckCalls(t *testing.T) {
	inFolder(t, map[string]string{
		"fast.abc":         turning,
		"slow.abc":         strings.Replace(turning, "1/4=200", "1/4=20", 1),
		"broken.abc":       "X:1\nT:t\nK:C\n[CEG\n",
		"parts/one.abc":    turning,
		"parts/two.ABC":    turning,
		"parts/.git/x.abc": turning,
		"parts/notes.txt":  "no score",
		"empty/notes.txt":  "no score",
		"none.abc":         "",
		"--odd.abc":        turning,
	})
	for _, c := range []struct {
		args           string
		code           int
		stdout, stderr string // a part of each
	}{
		{"check slow.abc", 0, "Nothing found in 1 file.", ""},
		{"check none.abc", 0, "Nothing found in 1 file.", ""},
		{"check none.abc", 0, "No harp part in none.abc: name a voice Harp", ""},
		{"check fast.abc", 1, "holds up to", ""},
		{"check broken.abc", 1, "notation/unclosed", ""},
		{"check slow.abc --tempo 200", 1, "hands/turn", ""},
		{"check --tempo 20 fast.abc", 0, "Nothing found", ""},
		{"check --tempo 0 fast.abc", 2, "", "--tempo must be more than 0 and at most 10000"},
		{"review -o - fast.abc", 2, "", "-o - is no file"},
		{"explain hands/nothing", 2, "", "did you mean `hands/tiring`?\n"},
		{"check --tempo x fast.abc", 2, "", "--tempo x: write a number"},
		{"check --format xml fast.abc", 2, "", "--format xml is not known: use text, json, sarif or github"},
		{"check --format github fast.abc", 1, "::warning file=fast.abc,line=9", ""},
		{"check --format json slow.abc", 0, "", ""},
		{"check --severity error fast.abc", 0, "Nothing found", ""},
		{"check --severity warning fast.abc", 1, "hands/turn", ""},
		{"check --severity off fast.abc", 2, "", "--severity off is not known: use error, warning, information or hint"},
		{"check --rule feet fast.abc", 0, "Nothing found", ""},
		{"check --rule hands/reach,hands/turn fast.abc", 1, "hands/turn", ""},
		{"check --rule hands/tern fast.abc", 2, "", "did you mean `hands/turn`?"},
		{"check --hand small slow.abc", 0, "Nothing found", ""},
		{"check --hand tiny slow.abc", 2, "", "one of: standard, small"},
		{"check --harp lever34 slow.abc", 0, "Nothing found", ""},
		{"check --harp piano slow.abc", 2, "", "one of: concert"},
		{"check --set lowest=F3 slow.abc", 1, "strings/out-of-range", ""},
		{"check --set cycle=0 --set severity.hands=off fast.abc", 0, "Nothing found", ""},
		{"check --set cycle=-1 slow.abc", 2, "", "a number from 0 to 60"},
		{"check --set cycle slow.abc", 2, "", "write a name, = and a value"},
		{"check", 2, "", "no file given"},
		{"check missing.abc", 2, "", "missing.abc cannot be read"},
		{"check missing.abc fast.abc", 2, "hands/turn", "missing.abc cannot be read"},
		{"check parts", 1, "in 2 files.", ""},
		{"check parts parts/one.abc", 1, "in 2 files.", ""},
		{"check empty", 2, "", "empty holds no score"},
		{"check s*.abc", 0, "Nothing found in 1 file.", ""},
		{"check x*.abc", 2, "", "no file fits the pattern x*.abc"},
		{"check -- --odd.abc", 1, "--odd.abc:9:", ""},
		{"check --odd.abc", 2, "", "there is no option --odd.abc"},
		{"check --help", 0, "usage: fourfold check", ""},
		{"check -h", 0, "--severity LEVEL", ""},
		{"", 2, "", "usage: fourfold COMMAND"},
		{"--help", 0, "usage: fourfold COMMAND", ""},
		{"chek", 2, "", `there is no command "chek"`},
		{"version", 0, "fourfold ", ""},
	} {
		t.Run(c.args, func(t *testing.T) {
			code, stdout, stderr := call(strings.Fields(c.args)...)
			assert.Equal(t, c.code, code, stdout+stderr)
			assert.Contains(t, stdout, c.stdout)
			assert.Contains(t, stderr, c.stderr)
			if c.stderr == "" {
				assert.Empty(t, stderr)
			}
			assert.NotContains(t, stdout, "\x1b", "only a terminal is coloured")
		})
	}
}

func TestCheckStandardInput(t *testing.T) {
	inFolder(t, map[string]string{"fast.abc": turning})
	file, err := os.Open("fast.abc")
	require.NoError(t, err)
	defer file.Close()
	stdin := os.Stdin
	os.Stdin = file
	defer func() { os.Stdin = stdin }()
	code, stdout, stderr := call("check", "-", "--format", "json")
	assert.Equal(t, 1, code, stderr)
	for _, f := range found(t, stdout) {
		assert.Equal(t, "-", f.File)
	}
	assert.True(t, has(found(t, stdout), "hands/turn"))
}

// Flags win over the line in the score, that over the folder's file, that over the
// default.
func TestOrderOfSources(t *testing.T) {
	line := func(text string) string { return strings.Replace(turning, "M:4/4", "%%fourfold "+text+"\nM:4/4", 1) }
	for _, c := range []struct {
		name, folder, score, flags string
		want                       bool // a turn is found
	}{
		{"the default", "", turning, "", true},
		{"the folder", "tempo = 20", turning, "", false},
		{"the line over the folder", "tempo = 20", line("tempo=200"), "", true},
		{"the flag over the line", "", line("tempo=200"), "--tempo 20", false},
		{"the flag over both", "tempo = 20", line("tempo=20"), "--tempo 200", true},
		{"any setting by flag", "[severity]\nhands = 'off'", turning, "--set severity.hands=error", true},
		{"a number by flag over the line", "", line("set cycle=0 order.turned.least=0 finger.new=0 string.next=0 string.again=0 leap.least=0 leap.least.step=0"), "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			inFolder(t, map[string]string{".fourfold.toml": c.folder, "deep/er/t.abc": c.score})
			_, stdout, stderr := call(append([]string{"check", "--format", "json", "deep"}, strings.Fields(c.flags)...)...)
			assert.Empty(t, stderr)
			assert.Equal(t, c.want, has(found(t, stdout), "hands/turn"))
		})
	}
}

// What is wrong in a folder's file is said once, with its place, and changes
// nothing else, nor the exit code.
func TestWrongFolderFile(t *testing.T) {
	inFolder(t, map[string]string{".fourfold.toml": "hand = 'tiny'\ntempo = 20\n", "a.abc": turning, "b/b.abc": turning})
	code, stdout, stderr := call("check", ".")
	assert.Zero(t, code)
	assert.Contains(t, stdout, "Nothing found in 2 files")
	assert.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
	assert.Contains(t, stderr, ".fourfold.toml:1:1: hand: it must be one of: standard, small.")
}

// A wrong line in the score is a finding at its place.
func TestWrongLineInTheScore(t *testing.T) {
	inFolder(t, map[string]string{"a.abc": "%%fourfold hand=tiny\n\n" + strings.Replace(turning, "=200", "=20", 1)})
	code, stdout, _ := call("check", "--format", "json", "a.abc")
	assert.Equal(t, 1, code)
	all := found(t, stdout)
	require.Len(t, all, 1)
	f := all[0]
	assert.Equal(t, []any{"fourfold/setting", "warning", 1, 12, 21}, []any{f.Rule, f.Severity, f.Line, f.Column, f.EndColumn})
}

// The JSON of many scores fits our schema, which is a contract.
func TestJSONFitsItsSchema(t *testing.T) {
	text, err := os.ReadFile("finding.schema.json")
	require.NoError(t, err)
	schema, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(text))
	require.NoError(t, err)
	_, stdout, stderr := call("check", "--format", "json", "../../testdata/demo", "../../testdata/rules")
	assert.Empty(t, stderr)
	lines := strings.Split(strings.TrimSpace(stdout), "\n")
	assert.Greater(t, len(lines), 20)
	for _, l := range lines {
		result, err := schema.Validate(gojsonschema.NewStringLoader(l))
		require.NoError(t, err)
		assert.True(t, result.Valid(), "%v: %s", result.Errors(), l)
	}
	result, err := schema.Validate(gojsonschema.NewStringLoader(`{"file":"a.abc"}`))
	require.NoError(t, err)
	assert.False(t, result.Valid())
}

// The log fits the published schema of SARIF 2.1.0 (OASIS, errata 01), which
// go-sarif carries, and nothing in it is lost on the way there.
func TestSARIFFitsItsSchema(t *testing.T) {
	_, stdout, stderr := call("check", "--format", "sarif", "../../testdata/demo", "../../testdata/rules")
	assert.Empty(t, stderr)
	report, err := sarif.FromBytes([]byte(stdout))
	require.NoError(t, err)
	require.NoError(t, report.Validate())
	for _, run := range report.Runs {
		assert.Greater(t, len(run.Results), 20)
	}
	var again bytes.Buffer
	require.NoError(t, report.Write(&again))
	var ours, theirs any
	require.NoError(t, json.Unmarshal([]byte(stdout), &ours))
	require.NoError(t, json.Unmarshal(again.Bytes(), &theirs))
	assertWithin(t, "", ours, theirs)

	report.Version = "2.0.0"
	assert.Error(t, report.Validate(), "the schema is looked at")
}

// assertWithin says where one JSON value has something that the other lacks.
func assertWithin(t *testing.T, at string, part, whole any) {
	t.Helper()
	switch p := part.(type) {
	case map[string]any:
		w, _ := whole.(map[string]any)
		for k, v := range p {
			if assert.Contains(t, w, k, at) {
				assertWithin(t, at+"."+k, v, w[k])
			}
		}
	case []any:
		w, _ := whole.([]any)
		if assert.Len(t, w, len(p), at) {
			for i, v := range p {
				assertWithin(t, at+"[]", v, w[i])
			}
		}
	default:
		assert.Equal(t, part, whole, at)
	}
}

// All formats tell the same findings.
func TestFormatsAgree(t *testing.T) {
	file := "../../testdata/demo/ferry-at-dusk.abc"
	_, asJSON, _ := call("check", "--format", "json", file)
	_, asGithub, _ := call("check", "--format", "github", file)
	_, asText, _ := call("check", file)
	_, asSARIF, _ := call("check", "--format", "sarif", file)
	var log sarifLog
	require.NoError(t, json.Unmarshal([]byte(asSARIF), &log))
	all := found(t, asJSON)
	require.NotEmpty(t, all)
	require.Len(t, log.Runs[0].Results, len(all))
	assert.Equal(t, len(all), strings.Count(asGithub, "\n"))
	for i, f := range all {
		r := log.Runs[0].Results[i]
		assert.Equal(t, f, r.Properties)
		assert.Equal(t, f.Rule, log.Runs[0].Tool.Driver.Rules[r.RuleIndex].ID)
		assert.Equal(t, sarifRegion{f.Line, f.Column, f.EndLine, f.EndColumn}, r.Locations[0].Physical.Region)
		assert.Contains(t, asText, f.Message)
		assert.Len(t, r.Fixes, len(f.Fixes))
	}
}

func TestFileURI(t *testing.T) {
	assert.Equal(t, "parts/it%20fits%23.abc", fileURI("parts/it fits#.abc"))
	assert.Equal(t, "./a:b.abc", fileURI("a:b.abc"))
	assert.Equal(t, "file:///tmp/%C3%A9.abc", fileURI("/tmp/é.abc"))
}

// Names and messages cannot end a workflow command or start another.
func TestGithubQuotes(t *testing.T) {
	inFolder(t, map[string]string{"a,b:c%.abc": turning})
	_, stdout, _ := call("check", "--format", "github", ".")
	for line := range strings.Lines(stdout) {
		assert.Regexp(t, `^::(error|warning|notice) file=a%2Cb%3Ac%25\.abc,line=\d+,`, line)
	}
	assert.Equal(t, "1%25%0A2", data("1%\n2"))
}

func TestStyle(t *testing.T) {
	env := func(values map[string]string) func(string) string { return func(k string) string { return values[k] } }
	terminal, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	require.NoError(t, err)
	defer terminal.Close()
	file, err := os.Create(filepath.Join(t.TempDir(), "x"))
	require.NoError(t, err)
	defer file.Close()
	assert.True(t, styleFor(terminal, env(nil)).colours)
	assert.False(t, styleFor(terminal, env(map[string]string{"NO_COLOR": "1"})).colours)
	assert.False(t, styleFor(terminal, env(map[string]string{"TERM": "dumb"})).colours)
	assert.False(t, styleFor(file, env(nil)).colours)
	assert.False(t, styleFor(&bytes.Buffer{}, env(nil)).colours)
	assert.Equal(t, "\x1b[1;31merror\x1b[0m", style{true}.severity(rules.Error, "error"))
	assert.Equal(t, "error", style{}.severity(rules.Error, "error"))
}

// Marks stand under what they mean, in cells of a terminal.
func TestCarets(t *testing.T) {
	for _, c := range []struct {
		line     string
		from, to int
		want     string
	}{
		{"CDE", 2, 3, " ^"},
		{"\tCDE", 2, 4, "\t^^"},
		{"é♯C", 3, 4, "  ^"},
		{"🎵C", 2, 3, "  ^"},
		{"e\u0301C", 3, 4, " ^"},
		{"音C", 1, 2, "^^"},
		{"", 1, 1, "^"},
	} {
		blanks, marks := carets([]byte(c.line), c.from, c.to)
		assert.Equal(t, c.want, blanks+marks, c.line)
	}
	assert.Equal(t, "a\ufffd[31m\tb\ufffd", printable("a\x1b[31m\tb\xff"))
}

func TestExplain(t *testing.T) {
	for _, c := range []struct {
		args           string
		code           int
		stdout, stderr string
	}{
		{"explain", 0, "notation/tie", ""},
		{"explain hands/turn", 0, "Default severity: warning", ""},
		{"explain notation/bar-length", 0, "What to do:", ""},
		{"explain feet", 0, "feet/two-at-once: ", ""},
		{"explain settings", 0, "set.cycle\n", ""},
		{"explain fourfold/setting --format markdown", 0, "## fourfold/setting", ""},
		{"explain --format markdown", 0, "# What Fourfold finds", ""},
		{"explain hands/tern hands/turn", 2, "hands/turn: ", "did you mean `hands/turn`?"},
		{"explain --format html", 2, "", "use text or markdown"},
		{"explain --help", 0, "usage: fourfold explain", ""},
	} {
		t.Run(c.args, func(t *testing.T) {
			code, stdout, stderr := call(strings.Fields(c.args)...)
			assert.Equal(t, c.code, code)
			assert.Contains(t, stdout, c.stdout)
			assert.Contains(t, stderr, c.stderr)
		})
	}
	for _, r := range rules.All() {
		code, stdout, _ := call("explain", r.Name)
		assert.Zero(t, code)
		assert.Contains(t, stdout, r.Title)
	}
}

// The page for composers is the one that the rules make:
// fourfold explain --format markdown > analysis/rules/RULES.md writes it.
func TestPageOfRulesIsFresh(t *testing.T) {
	text, err := os.ReadFile("../../analysis/rules/RULES.md")
	require.NoError(t, err)
	assert.Equal(t, rules.Page(), string(text), "run: go run ./cmd/fourfold explain --format markdown > analysis/rules/RULES.md")
}
