package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"fourfold/analysis/rules"
)

// githubPrinter writes workflow commands, which GitHub Actions shows beside the
// lines (docs.github.com, "Workflow commands for GitHub Actions").
type githubPrinter struct{ w io.Writer }

func (p *githubPrinter) file(_ context.Context, c checked) error {
	for _, f := range c.found {
		line, column := c.lines.at(f.Span.Start)
		endLine, endColumn := c.lines.at(f.Span.End)
		place := fmt.Sprintf("file=%s,line=%d,endLine=%d", property(c.name), line, endLine)
		if line == endLine { // columns are for one line only
			place += fmt.Sprintf(",col=%d,endColumn=%d", column, max(column, endColumn-1))
		}
		message := f.Message
		if f.Advice != "" {
			message += " " + f.Advice
		}
		if _, err := fmt.Fprintf(p.w, "::%s %s,title=%s::%s\n", githubLevel(f.Severity), place, property(f.Rule+where(f)), data(message)); err != nil {
			return err
		}
	}
	return nil
}

func (p *githubPrinter) end() error { return nil }

func githubLevel(s rules.Severity) string {
	if s <= rules.Warning {
		return s.String()
	}
	return "notice"
}

// data and property quote what would end a message or a value.
func data(text string) string {
	return strings.NewReplacer("%", "%25", "\r", "%0D", "\n", "%0A").Replace(text)
}

func property(text string) string {
	return strings.NewReplacer(":", "%3A", ",", "%2C").Replace(data(text))
}
