package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"fourfold/analysis"
	"fourfold/analysis/rules"
)

// printer writes the findings of one file after another.
type printer interface {
	file(ctx context.Context, name string, text []byte, r *analysis.Reading) error
	end()
}

// finding is one line of JSON. Lines and columns count from 1, columns in code
// points, the end is exclusive; tempi are quarters a minute.
type finding struct {
	File            string   `json:"file"`
	Tune            string   `json:"tune"`
	Voice           string   `json:"voice"`
	Bar             int      `json:"bar"`
	Rule            string   `json:"rule"`
	Severity        string   `json:"severity"`
	Line            int      `json:"line"`
	Column          int      `json:"column"`
	EndLine         int      `json:"endLine"`
	EndColumn       int      `json:"endColumn"`
	Message         string   `json:"message"`
	Load            *float64 `json:"load,omitempty"`
	Tempo           *float64 `json:"tempo,omitempty"`
	HoldsUpTo       *float64 `json:"holdsUpTo,omitempty"`
	ComfortableUpTo *float64 `json:"comfortableUpTo,omitempty"`
	Fixes           []string `json:"fixes"`
}

func newFinding(ctx context.Context, file string, l *lines, r *analysis.Reading, f rules.Finding) finding {
	out := finding{File: file, Tune: f.Tune, Voice: f.Voice, Bar: f.Bar, Rule: f.Rule, Severity: f.Severity.String(),
		Message: f.Message, Fixes: []string{}}
	out.Line, out.Column = l.at(f.Span.Start)
	out.EndLine, out.EndColumn = l.at(f.Span.End)
	if s := f.Speed; s != nil {
		out.Load, out.Tempo, out.HoldsUpTo, out.ComfortableUpTo = &s.Load, &s.Tempo, &s.HoldsUpTo, &s.ComfortableUpTo
	}
	for _, fx := range r.Fixes(ctx, f) {
		out.Fixes = append(out.Fixes, fx.Title)
	}
	return out
}

// jsonPrinter writes one object a finding, one a line.
type jsonPrinter struct{ enc *json.Encoder }

func (p *jsonPrinter) file(ctx context.Context, name string, text []byte, r *analysis.Reading) error {
	p.enc.SetEscapeHTML(false)
	l := newLines(text)
	for _, f := range r.Findings() {
		if err := p.enc.Encode(newFinding(ctx, name, l, r, f)); err != nil {
			return err
		}
	}
	return nil
}

func (p *jsonPrinter) end() {}

// textPrinter writes for people.
type textPrinter struct {
	w     io.Writer
	files int
	count [rules.Hint + 1]int
	hands bool // a limit of hands was named
}

const caution = "The limits are for a typical adult hand, worked out, not measured on a player. Stop at pain; the player and their teacher decide."

func (p *textPrinter) file(ctx context.Context, name string, text []byte, r *analysis.Reading) error {
	p.files++
	l := newLines(text)
	for _, f := range r.Findings() {
		p.count[f.Severity]++
		p.hands = p.hands || strings.HasPrefix(f.Rule, "hands/")
		if err := p.finding(newFinding(ctx, name, l, r, f), l, f); err != nil {
			return err
		}
	}
	return nil
}

func (p *textPrinter) finding(out finding, l *lines, f rules.Finding) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: %s %s%s\n", out.File, out.Line, out.Column, out.Severity, out.Rule, where(f))
	source := l.line(out.Line)
	end := out.EndColumn
	if out.EndLine > out.Line {
		end = utf8.RuneCount(source) + 1
	}
	fmt.Fprintf(&b, "    %s\n    %s\n", printable(source), carets(source, out.Column, end))
	fmt.Fprintf(&b, "    %s\n", out.Message)
	if f.Advice != "" {
		fmt.Fprintf(&b, "    What to do: %s\n", f.Advice)
	}
	for _, title := range out.Fixes {
		fmt.Fprintf(&b, "    Fix: %s\n", title)
	}
	_, err := fmt.Fprintln(p.w, b.String())
	return err
}

// where says tune, voice and bar as far as the finding has them.
func where(f rules.Finding) string {
	var words []string
	if f.Tune != "" {
		words = append(words, "tune "+f.Tune)
	}
	if f.Voice != "" {
		words = append(words, "voice "+f.Voice)
	}
	if f.Bar > 0 {
		words = append(words, fmt.Sprintf("bar %d", f.Bar))
	}
	if len(words) == 0 {
		return ""
	}
	return " (" + strings.Join(words, ", ") + ")"
}

// printable keeps tabs and letters and shows other control characters and bad
// bytes as a replacement sign.
func printable(line []byte) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' || r == 0x7f || r >= 0x80 && r < 0xa0 {
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(string(line), string(utf8.RuneError)))
}

// carets marks the columns; tabs before them stay tabs so that they line up.
func carets(line []byte, from, to int) string {
	var b strings.Builder
	column := 1
	for _, r := range string(line) {
		if column >= from {
			break
		}
		if r == '\t' {
			b.WriteByte('\t')
		} else {
			b.WriteByte(' ')
		}
		column++
	}
	b.WriteString(strings.Repeat("^", max(1, to-from)))
	return b.String()
}

func (p *textPrinter) end() {
	var words []string
	for s := rules.Error; s <= rules.Hint; s++ {
		if n := p.count[s]; n > 0 {
			words = append(words, plural(n, s.String()))
		}
	}
	if len(words) == 0 {
		fmt.Fprintf(p.w, "Nothing found in %s.\n", plural(p.files, "file"))
		return
	}
	fmt.Fprintf(p.w, "%s in %s.\n", strings.Join(words, ", "), plural(p.files, "file"))
	if p.hands {
		fmt.Fprintln(p.w, caution)
	}
}

func plural(n int, word string) string {
	switch {
	case n == 1:
		return "1 " + word
	case word == rules.Information.String():
		return fmt.Sprintf("%d pieces of information", n)
	}
	return fmt.Sprintf("%d %ss", n, word)
}
