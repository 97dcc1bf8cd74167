package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

const checkUsage = `usage: fourfold check [--format text|json] [--tempo N] FILE…

Says what in each score does not fit a harpist's hands and feet.
Exit code: 0 nothing at warning or above, 1 findings, 2 an unreadable file or wrong usage.
`

// runCheck checks each file and goes on after one that cannot be read.
func runCheck(args []string, stdout, stderr io.Writer) int {
	set := rules.Defaults()
	flags := newFlags("check", checkUsage, stderr)
	format := flags.String("format", "text", "text or json")
	flags.Float64Var(&set.Tempo, "tempo", 0, "quarter notes a minute that replace every Q:")
	if err := flags.Parse(args); err != nil {
		return usageCode(err)
	}
	switch {
	case *format != "text" && *format != "json":
		return wrongUsage(stderr, "check", fmt.Sprintf("--format %s is not known: use text or json", *format))
	case isSet(flags, "tempo") && !(set.Tempo > 0 && set.Tempo <= maxTempo):
		return wrongUsage(stderr, "check", fmt.Sprintf("--tempo must lie between 0 and %d quarter notes a minute", maxTempo))
	case flags.NArg() == 0:
		return wrongUsage(stderr, "check", "no file given: name the scores to check")
	}
	var out printer = &textPrinter{w: stdout}
	if *format == "json" {
		out = &jsonPrinter{json.NewEncoder(stdout)}
	}
	return checkFiles(flags.Args(), set, out, stderr)
}

// maxTempo is beyond any music: a quarter note in 6 ms.
const maxTempo = 10000

func checkFiles(files []string, set rules.Settings, out printer, stderr io.Writer) int {
	code := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			fmt.Fprintf(stderr, "fourfold check: %s cannot be read (%v): check the name and its permissions\n", file, cause(err))
			code = 2
			continue
		}
		ctx := context.Background()
		reading, err := analysis.Read(ctx, syntax.Parse(text), set)
		if err != nil {
			fmt.Fprintf(stderr, "fourfold check: %s: %v\n", file, err)
			code = 2
			continue
		}
		if err := out.file(ctx, file, text, reading); err != nil {
			fmt.Fprintf(stderr, "fourfold check: cannot write the result: %v\n", err)
			return 2
		}
		for _, f := range reading.Findings() {
			if f.Severity <= rules.Warning && code == 0 {
				code = 1
			}
		}
	}
	out.end()
	return code
}

// cause is the reason without the path, which the message names already.
func cause(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// newFlags makes a command's flags; it prints the usage itself.
func newFlags(name, usage string, stderr io.Writer) *flag.FlagSet {
	flags := flag.NewFlagSet("fourfold "+name, flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.Usage = func() { fmt.Fprint(stderr, usage); flags.PrintDefaults() }
	return flags
}

func usageCode(err error) int {
	if errors.Is(err, flag.ErrHelp) {
		return 0
	}
	return 2
}

func wrongUsage(stderr io.Writer, name, what string) int {
	fmt.Fprintf(stderr, "fourfold %s: %s\nTry 'fourfold %s --help'.\n", name, what, name)
	return 2
}

func isSet(flags *flag.FlagSet, name string) (set bool) {
	flags.Visit(func(f *flag.Flag) { set = set || f.Name == name })
	return set
}
