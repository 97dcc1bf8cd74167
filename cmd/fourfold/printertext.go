package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"fourfold/analysis/rules"
)

// textPrinter writes for people.
type textPrinter struct {
	w     io.Writer
	style style
	files int
	count [rules.Hint + 1]int
	hands bool // a limit of hands was named
	// silent are files in which there is no harp part: nothing was looked for.
	silent []string
}

const caution = "The limits are for a typical adult hand, worked out, not measured on a player. Stop at pain; the player and their teacher decide."

func (p *textPrinter) file(ctx context.Context, c checked) error {
	p.files++
	if !c.reading.HasParts() {
		p.silent = append(p.silent, c.name)
	}
	for _, f := range c.found {
		p.count[f.Severity]++
		p.hands = p.hands || strings.HasPrefix(f.Rule, "hands/")
		if err := p.finding(c.finding(ctx, f), c.lines, f); err != nil {
			return err
		}
	}
	return nil
}

func (p *textPrinter) finding(out finding, l *lines, f rules.Finding) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s %s%s\n", p.style.place(fmt.Sprintf("%s:%d:%d:", printable(out.File), out.Line, out.Column)),
		p.style.severity(f.Severity, out.Severity), out.Rule, printable(where(f)))
	source := l.line(out.Line)
	from, end := out.Column, out.EndColumn
	if out.EndLine > out.Line {
		end = utf8.RuneCount(source) + 1
	}
	source, from, end = clipped(source, from, end)
	blanks, marks := carets(source, from, end)
	fmt.Fprintf(&b, "    %s\n    %s%s\n", printable(string(source)), blanks, p.style.severity(f.Severity, marks))
	fmt.Fprintf(&b, "    %s\n", printable(out.Message))
	if f.Advice != "" {
		fmt.Fprintf(&b, "    What to do: %s\n", printable(f.Advice))
	}
	for _, title := range out.Fixes {
		fmt.Fprintf(&b, "    Fix: %s\n", printable(title))
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
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError)))
}

// Sizes of what is shown of a line that is longer than any screen.
const (
	longestLine = 240
	shownBefore = 60
	shownOfLong = 160
)

// clipped shortens a very long line to what is around the columns, which it gives
// anew; dots say where something is left out.
func clipped(line []byte, from, to int) ([]byte, int, int) {
	signs := []rune(string(line))
	if len(signs) <= longestLine {
		return line, from, to
	}
	start := max(0, min(from-1-shownBefore, len(signs)-shownOfLong))
	end := min(len(signs), start+shownOfLong)
	from, to = from-start, min(to, end+1)-start
	shown := string(signs[start:end])
	if start > 0 {
		shown, from, to = "…"+shown, from+1, to+1
	}
	if end < len(signs) {
		shown += "…"
	}
	return []byte(shown), from, to
}

// carets marks the columns, which are code points from 1: the blanks before them
// and the marks. Tabs stay tabs, and signs that are two cells wide, or none, count
// so, for the marks to stand under what they mean.
func carets(line []byte, from, to int) (blanks, marks string) {
	var before strings.Builder
	column, width := 1, 0
	for _, r := range string(line) {
		switch {
		case column >= to:
		case column >= from:
			width += cells(r)
		case r == '\t':
			before.WriteByte('\t')
		default:
			before.WriteString(strings.Repeat(" ", cells(r)))
		}
		column++
	}
	return before.String(), strings.Repeat("^", max(1, width))
}

// cells is how many columns of a terminal a sign takes.
func cells(r rune) int {
	switch {
	case unicode.Is(unicode.Mn, r), unicode.Is(unicode.Me, r), r == 0x200d:
		return 0
	case r >= 0x1100 && r <= 0x115f, r >= 0x2e80 && r <= 0xa4cf, r >= 0xac00 && r <= 0xd7a3,
		r >= 0xf900 && r <= 0xfaff, r >= 0xfe30 && r <= 0xfe6f, r >= 0xff00 && r <= 0xff60,
		r >= 0x1f300 && r <= 0x1faff, r >= 0x20000 && r <= 0x3fffd:
		return 2
	}
	return 1
}

func (p *textPrinter) end() error {
	if p.files == 0 { // standard error says why
		return nil
	}
	var words []string
	for s := rules.Error; s <= rules.Hint; s++ {
		if n := p.count[s]; n > 0 {
			words = append(words, plural(n, s.String()))
		}
	}
	if len(words) == 0 {
		words = []string{"Nothing found"}
	}
	text := fmt.Sprintf("%s in %s.\n", strings.Join(words, ", "), plural(p.files, "file"))
	if p.hands {
		text += caution + "\n"
	}
	_, err := io.WriteString(p.w, text+p.silence())
	return err
}

// mostSilent is how many files without a harp part are named.
const mostSilent = 5

// silence says in which files there was no harp part to judge.
func (p *textPrinter) silence() string {
	if len(p.silent) == 0 {
		return ""
	}
	names := append([]string{}, p.silent[:min(len(p.silent), mostSilent)]...)
	if more := len(p.silent) - len(names); more > 0 {
		names = append(names, plural(more, "more file"))
	}
	return fmt.Sprintf("No harp part in %s: name a voice Harp (V:RH name=\"Harp\"), brace two staves (%%%%score {RH LH}), or write %%%%fourfold harp RH LH.\n",
		printable(rules.List(names)))
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
