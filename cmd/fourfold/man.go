package main

import (
	"fmt"
	"io"
	"strings"
)

const manUsage = `usage: fourfold man

Prints the manual page, for example to read with 'fourfold man | man -l -', or to
keep as ~/.local/share/man/man1/fourfold.1
`

// runMan prints the manual page in the macros of man(7).
func runMan(args []string, stdout, stderr io.Writer) int {
	words, code, ok := parseFlags(newFlags("man", manUsage, stderr), args, stdout)
	if !ok {
		return code
	}
	if len(words) > 0 {
		return wrongUsage(stderr, "man", "it takes nothing more")
	}
	fmt.Fprintf(stdout, `.TH FOURFOLD 1 "" "fourfold %s" "User Commands"
.SH NAME
fourfold \- tell composers what does not fit a harpist's hands and feet
.SH SYNOPSIS
.B fourfold
.I COMMAND
\&...
.SH DESCRIPTION
Fourfold reads scores in ABC notation as a harpist would.
.SH COMMANDS
`, roff(version()))
	for _, c := range commands() {
		m := manuals()[c.name]
		fmt.Fprintf(stdout, ".SS \"fourfold %s%s\"\n%s\n", c.name, roff(strings.TrimRight(" "+m.takes, " ")), roff(capital(c.about)+"."))
		for _, o := range m.options {
			fmt.Fprintf(stdout, ".TP\n.B %s", roff(o.dashes()))
			if o.value != "" {
				fmt.Fprintf(stdout, " \\fI%s\\fR", roff(o.value))
			}
			fmt.Fprintf(stdout, "\n%s\n", roff(capital(o.about)+"."))
			if len(o.words) > 0 && len(o.words) <= 8 {
				fmt.Fprintf(stdout, "One of: %s.\n", roff(strings.Join(o.words, ", ")))
			}
		}
	}
	fmt.Fprint(stdout, `.SH EXIT STATUS
.B check
gives 0 where nothing is at warning or above, 1 where something is, and 2 for an
unreadable file or wrong usage. The other commands give 0, or 2.
.SH FILES
.TP
.I .fourfold.toml
Settings for the scores of a folder and of those below it.
.SH ENVIRONMENT
.TP
.B NO_COLOR
Where it is set to anything, nothing is coloured.
`)
	return 0
}

// roff quotes what the macros would read as their own.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`, "…", `\&...`).Replace(text)
	if strings.HasPrefix(text, ".") || strings.HasPrefix(text, "'") {
		return `\&` + text
	}
	return text
}
