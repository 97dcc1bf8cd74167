// Fourfold tells composers what does not fit a harpist's hands and feet, in
// their editor and on the command line.
package main

import (
	"fmt"
	"io"
	"os"
)

// command is one word after the program's name.
type command struct {
	name  string
	about string
	run   func(args []string, stdout, stderr io.Writer) int
}

// commands are in the order of the help.
func commands() []command {
	return []command{
		{"check", "say what in a score does not fit the hands and feet", runCheck},
		{"explain", "say what a rule means and what to do", runExplain},
		{"hands", "print how the hands take a score", runHands},
		{"pedals", "print the pedal plan of a score, or answer for settings", runPedals},
		{"notes", "print the notes of a score as JSON lines", runNotes},
		{"review", "make a page of pictures to send to a composer", runReview},
		{"serve", "run the language server for an editor", runServe},
		{"completion", "print the completion for a shell", runCompletion},
		{"man", "print the manual page", runMan},
		{"version", "say which version this is", runVersion},
	}
}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		usage(stderr)
		return 2
	}
	switch args[0] {
	case "help", "-h", "--help":
		usage(stdout)
		return 0
	case "--version":
		return runVersion(nil, stdout, stderr)
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(args[1:], stdout, stderr)
		}
	}
	fmt.Fprintf(stderr, "fourfold: there is no command %q\n", args[0])
	usage(stderr)
	return 2
}

func usage(w io.Writer) {
	fmt.Fprint(w, "usage: fourfold COMMAND …\n\n")
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-10s  %s\n", c.name, c.about)
	}
	fmt.Fprint(w, "\n'fourfold COMMAND --help' says more about one.\n")
}
