package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"regexp"
	"strconv"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/lsp"
	"fourfold/parser/syntax"
)

// scorePlace is a place of a score as fourfold check prints it: FILE:LINE:COLUMN, both
// counted from 1. Without a column it is the whole line.
type scorePlace struct {
	file         string
	line, column int // column 0 is the whole line
}

var placeForm = regexp.MustCompile(`^(.+?):(\d+)(?::(\d+))?:?$`)

// placeIn reads a place; false where the word is none.
func placeIn(word string) (scorePlace, bool) {
	m := placeForm.FindStringSubmatch(word)
	if m == nil {
		return scorePlace{}, false
	}
	line, err := strconv.Atoi(m[2])
	column := 0
	if m[3] != "" && err == nil {
		column, err = strconv.Atoi(m[3])
	}
	return scorePlace{m[1], line, column}, err == nil
}

func (p scorePlace) String() string {
	if p.column == 0 {
		return fmt.Sprintf("%s:%d", p.file, p.line)
	}
	return fmt.Sprintf("%s:%d:%d", p.file, p.line, p.column)
}

// explainPlace says in words how the group of notes at a place is played, why it ends
// where it does, and what does not fit there. It gives the exit code.
func explainPlace(at scorePlace, stdout, stderr io.Writer) int {
	text, err := os.ReadFile(at.file)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold explain: %s cannot be read (%v): check the name and its permissions\n", at.file, cause(err))
		return 2
	}
	reading, err := analysis.Read(context.Background(), syntax.Parse(text), settingsFor("explain", at.file, stderr))
	if err != nil {
		fmt.Fprintf(stderr, "fourfold explain: %s: %v\n", at.file, err)
		return 2
	}
	cards := at.cards(reading, newLines(text))
	if len(cards) == 0 {
		fmt.Fprintf(stderr, "fourfold explain: no note of a harp part stands at %s: give the line and the column of one, as 'fourfold check' prints them\n", at)
		return 2
	}
	for i, c := range cards {
		if i > 0 {
			fmt.Fprintln(stdout)
		}
		fmt.Fprint(stdout, lsp.PlainCard(c))
	}
	return 0
}

// cards are those of the groups at the place, each once, with the findings that touch
// them.
func (p scorePlace) cards(r *analysis.Reading, l *lines) (out []rules.Card) {
	if p.line < 1 || p.line > len(l.starts) {
		return nil
	}
	start, length := l.starts[p.line-1], len(l.line(p.line))
	from, to := start, start+length
	if p.column > 0 {
		runes := []rune(string(l.line(p.line)))
		if p.column > len(runes) {
			return nil
		}
		from = start + len(string(runes[:p.column-1]))
		to = from + 1
	}
	seen := map[string]bool{}
	for offset := from; offset < to; offset++ {
		c, ok := r.Card(offset)
		group := fmt.Sprint(c.Hand, c.Span)
		if !ok || seen[group] {
			continue
		}
		seen[group] = true
		for _, f := range r.Findings() {
			if f.Span.Start < c.Span.End && c.Span.Start < f.Span.End {
				c.Findings = append(c.Findings, fmt.Sprintf("%s: %s", f.Rule, f.Message))
			}
		}
		out = append(out, c)
	}
	return out
}
