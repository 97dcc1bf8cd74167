package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
)

// newFlags makes a command's flags; it prints the usage itself.
func newFlags(name, usage string, w io.Writer) *flag.FlagSet {
	flags := flag.NewFlagSet("fourfold "+name, flag.ContinueOnError)
	flags.SetOutput(w)
	flags.Usage = func() { fmt.Fprint(flags.Output(), usage); helpOptions(flags.Output(), name) }
	return flags
}

// parseFlags reads flags that stand before, between and after other words, and
// gives those words. After -- nothing is a flag. The code is that of a call that
// ends here: 0 where help was asked for, which goes to stdout; 2 for wrong usage.
func parseFlags(flags *flag.FlagSet, args []string, stdout io.Writer) (words []string, code int, ok bool) {
	var said strings.Builder
	stderr := flags.Output()
	flags.SetOutput(&said)
	usage := flags.Usage
	flags.Usage = func() {}
	defer flags.SetOutput(stderr)
	for {
		err := flags.Parse(args)
		if errors.Is(err, flag.ErrHelp) {
			flags.SetOutput(stdout)
			usage()
			return nil, 0, false
		}
		if err != nil {
			fmt.Fprintf(stderr, "%s: %s\nTry '%s --help'.\n", flags.Name(), optionFault(err), flags.Name())
			return nil, 2, false
		}
		rest := flags.Args()
		if len(rest) == 0 {
			return words, 0, true
		}
		if read := len(args) - len(rest); read > 0 && args[read-1] == "--" {
			return append(words, rest...), 0, true
		}
		words = append(words, rest[0])
		args = rest[1:]
	}
}

var (
	unknownOption = regexp.MustCompile(`^flag provided but not defined: -(.*)$`)
	lacksValue    = regexp.MustCompile(`^flag needs an argument: -(.*)$`)
	badValue      = regexp.MustCompile(`^invalid (?:boolean )?value "((?s:.*))" for (?:flag )?-([a-z-]+): (.*)$`)
)

// optionFault words what is wrong with an option as the rest of the program would.
func optionFault(err error) string {
	text := err.Error()
	if m := unknownOption.FindStringSubmatch(text); m != nil {
		return "there is no option " + dashed(m[1])
	}
	if m := lacksValue.FindStringSubmatch(text); m != nil {
		return dashed(m[1]) + " needs a value after it"
	}
	if m := badValue.FindStringSubmatch(text); m != nil {
		why := m[3]
		switch {
		case strings.HasPrefix(text, "invalid boolean"):
			why = "it takes no value"
		case why == "parse error":
			why = "write a number"
		}
		return fmt.Sprintf("%s %s: %s", dashed(m[2]), m[1], why)
	}
	return text
}

// dashed is an option's name with its dashes.
func dashed(name string) string { return option{name: name}.dashes() }

func wrongUsage(stderr io.Writer, name, what string) int {
	fmt.Fprintf(stderr, "fourfold %s: %s\nTry 'fourfold %s --help'.\n", name, what, name)
	return 2
}

func isSet(flags *flag.FlagSet, name string) (set bool) {
	flags.Visit(func(f *flag.Flag) { set = set || f.Name == name })
	return set
}

// cause is the reason without the path, which the message names already.
func cause(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
