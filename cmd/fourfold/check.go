package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

const checkUsage = `usage: fourfold check [OPTION…] FILE…

Says what in each score does not fit a harpist's hands and feet. FILE is a score,
- for standard input, a folder for all *.abc in it and below, or a pattern.

Each setting is taken from the first place that has it: the options, a line
'%%fourfold hand=small' in the score, .fourfold.toml in the score's folder or the
nearest one above, the default.

With --fix the changes that answer warnings are printed as a unified diff, each
proved before it is offered; with --write they go into the files. The diff is all
that goes to standard output; what stays is told on standard error.

Exit code: 0 nothing at warning or above, 1 findings, 2 an unreadable file or wrong
usage. What --severity or --rule leaves out does not count.
`

var checkFormats = []string{"text", "json", "sarif", "github"}

// checkCall is what a call of check asks for.
type checkCall struct {
	format   string
	least    rules.Severity // what matters less is left out
	rules    []string       // rules and groups to show, none for all
	tempo    float64
	settings []string // NAME=VALUE, by flags
	fix      bool     // show the fixes as a diff, and nothing else
	write    bool     // write them into the files
	words    []string
}

// runCheck checks each file and goes on after one that cannot be read.
func runCheck(args []string, stdout, stderr io.Writer) int {
	call, code, ok := parseCheck(args, stdout, stderr)
	if !ok {
		return code
	}
	out := newPrinter(call.format, stdout)
	if call.fix {
		out = &fixPrinter{call: &call, w: stdout, stderr: stderr, write: call.write}
	}
	return call.check(out, stderr)
}

// maxTempo is beyond any music: a quarter note in 6 ms.
const maxTempo = 10000

func parseCheck(args []string, stdout, stderr io.Writer) (call checkCall, code int, ok bool) {
	flags := newFlags("check", checkUsage, stderr)
	format := flags.String("format", "text", "")
	severity := flags.String("severity", rules.Hint.String(), "")
	flags.Float64Var(&call.tempo, "tempo", 0, "")
	flags.Func("rule", "", func(s string) error { call.rules = append(call.rules, strings.Split(s, ",")...); return nil })
	flags.BoolVar(&call.fix, "fix", false, "")
	flags.BoolVar(&call.write, "write", false, "")
	setting := func(name string) func(string) error {
		return func(s string) error { call.settings = append(call.settings, name+s); return nil }
	}
	flags.Func("hand", "", setting("hand="))
	flags.Func("harp", "", setting("instrument="))
	flags.Func("set", "", setting(""))
	call.words, code, ok = parseFlags(flags, args, stdout)
	if !ok {
		return call, code, false
	}
	call.format = *format
	call.least, ok = rules.SeverityNamed(*severity)
	switch {
	case !slices.Contains(checkFormats, *format):
		return call, wrongUsage(stderr, "check", fmt.Sprintf("--format %s is not known: use %s", *format, orList(checkFormats))), false
	case !ok || call.least == rules.Off:
		return call, wrongUsage(stderr, "check", fmt.Sprintf("--severity %s is not known: use %s", *severity, orList(severityWords()))), false
	case isSet(flags, "tempo") && !(call.tempo > 0 && call.tempo <= maxTempo):
		return call, wrongUsage(stderr, "check", fmt.Sprintf("--tempo must be more than 0 and at most %d quarter notes a minute", maxTempo)), false
	case call.write && !call.fix:
		return call, wrongUsage(stderr, "check", "--write goes with --fix"), false
	case call.write && slices.Contains(call.words, "-"):
		return call, wrongUsage(stderr, "check", "--write needs a file: standard input cannot be written"), false
	case call.fix && isSet(flags, "format"):
		return call, wrongUsage(stderr, "check", "--fix prints a diff: it goes with no --format"), false
	case len(call.words) == 0:
		return call, wrongUsage(stderr, "check", "no file given: name the scores to check"), false
	}
	for _, name := range call.rules {
		if err := rules.CheckRule(name); err != nil {
			return call, wrongUsage(stderr, "check", fmt.Sprintf("--rule %s: %v", name, err)), false
		}
	}
	set := rules.Defaults()
	for _, s := range call.settings {
		if err := putFlag(&set, s); err != nil {
			return call, wrongUsage(stderr, "check", err.Error()), false
		}
	}
	return call, 0, true
}

// orList joins words as in "a, b or c".
func orList(words []string) string {
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// putFlag applies NAME=VALUE so that nothing below it changes it again.
func putFlag(set *rules.Settings, text string) error {
	name, value, ok := strings.Cut(text, "=")
	if !ok {
		return fmt.Errorf("--set %s: write a name, = and a value, as in --set cycle=0.2", text)
	}
	key := name
	if _, number := set.Hand.Get(name); number {
		key = "set." + name
	}
	if err := set.SetText(key, value); err != nil {
		option := map[string]string{"hand": "--hand ", "instrument": "--harp "}[name]
		if option == "" {
			option = "--set " + name + "="
		}
		return fmt.Errorf("%s%s: %w", option, value, err)
	}
	set.Pin(key)
	return nil
}

// put puts what the flags say on top of a score's settings.
func (c *checkCall) put(set *rules.Settings) {
	if c.tempo > 0 {
		set.Tempo = c.tempo
		set.Pin("tempo")
	}
	for _, s := range c.settings {
		// It was tried when the flags were read.
		_ = putFlag(set, s)
	}
}

// shown are the findings that the call asks for.
func (c *checkCall) shown(all []rules.Finding) (out []rules.Finding) {
	for _, f := range all {
		group, _, _ := strings.Cut(f.Rule, "/")
		if f.Severity <= c.least && (len(c.rules) == 0 || slices.Contains(c.rules, f.Rule) || slices.Contains(c.rules, group)) {
			out = append(out, f)
		}
	}
	return out
}

func (c *checkCall) check(out printer, stderr io.Writer) int {
	code := 0
	complain := func(format string, args ...any) {
		fmt.Fprintf(stderr, "fourfold check: "+format+"\n", args...)
		code = 2
	}
	folders := newFolderSettings("check", stderr)
	ctx := context.Background()
	for _, file := range scoreFiles(c.words, complain) {
		text, err := readFileOrStdin(file)
		if err != nil {
			complain("%s cannot be read (%v): check the name and its permissions", file, cause(err))
			continue
		}
		set := folders.of(file)
		c.put(&set)
		reading, err := analysis.Read(ctx, syntax.Parse(text), set)
		if err != nil {
			complain("%s: %v", file, err)
			continue
		}
		found := c.shown(reading.Findings())
		err = out.file(ctx, checked{file, newLines(text), reading, found})
		if u := (*unwritten)(nil); errors.As(err, &u) {
			complain("%v", u)
			continue
		}
		if err != nil {
			complain("cannot write the result: %v", err)
			return code
		}
		if p, ok := out.(*fixPrinter); ok {
			found = p.left
		}
		for _, f := range found {
			if f.Severity <= rules.Warning && code == 0 {
				code = 1
			}
		}
	}
	if err := out.end(); err != nil {
		complain("cannot write the result: %v", err)
	}
	return code
}

// newPrinter gives the printer of a format that is known.
func newPrinter(format string, w io.Writer) printer {
	switch format {
	case "json":
		return newJSONPrinter(w)
	case "sarif":
		return &sarifPrinter{w: w}
	case "github":
		return &githubPrinter{w: w}
	}
	return &textPrinter{w: w, style: styleFor(w, os.Getenv)}
}
