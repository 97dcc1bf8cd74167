package main

import (
	"io"
	"os"

	"fourfold/analysis/rules"
)

// style colours text for a terminal, or leaves it as it is.
type style struct{ colours bool }

// styleFor colours only what goes to a terminal that knows how, and nothing where
// NO_COLOR is set to anything (https://no-color.org).
func styleFor(w io.Writer, env func(string) string) style {
	if env("NO_COLOR") != "" || env("TERM") == "dumb" {
		return style{}
	}
	f, ok := w.(*os.File)
	if !ok {
		return style{}
	}
	info, err := f.Stat()
	return style{err == nil && info.Mode()&os.ModeCharDevice != 0}
}

const (
	bold   = "1"
	red    = "31"
	yellow = "33"
	blue   = "34"
	cyan   = "36"
)

func (s style) paint(how, text string) string {
	if !s.colours {
		return text
	}
	return "\x1b[" + how + "m" + text + "\x1b[0m"
}

func (s style) place(text string) string { return s.paint(bold, text) }

func (s style) severity(sev rules.Severity, text string) string {
	return s.paint(map[rules.Severity]string{
		rules.Error: bold + ";" + red, rules.Warning: bold + ";" + yellow, rules.Information: blue, rules.Hint: cyan,
	}[sev], text)
}
