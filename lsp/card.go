package lsp

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"fourfold/analysis/rules"
)

// A card is written for an engraver who never met a harpist: it says which
// fingers stand on which notes, what the hand must do next and how long it has.

// fingerKey explains the digits once on every card.
const fingerKey = "1 is the thumb, 4 the ring finger; the little finger is not used."

// markdownCard is a card for editors that show Markdown.
func markdownCard(c rules.Card) string {
	var b strings.Builder
	fmt.Fprintf(&b, "**%s** · bar %d, beat %s\n\n", capital(c.Hand), c.Bar, c.Beat)
	fmt.Fprintf(&b, "```text\n%s```\n\n", table(c.Strokes))
	fmt.Fprintf(&b, "%s\n\n", fingerKey)
	for _, line := range facts(c) {
		fmt.Fprintf(&b, "- **%s:** %s\n", line.name, line.value)
	}
	if len(c.Findings) > 0 {
		b.WriteString("\n**What does not fit**\n\n")
		for _, f := range c.Findings {
			fmt.Fprintf(&b, "- %s\n", f)
		}
	}
	return b.String()
}

// PlainCard says the same without marks: what there is to say about one finger group.
func PlainCard(c rules.Card) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, bar %d, beat %s\n\n%s\n%s\n\n", capital(c.Hand), c.Bar, c.Beat, table(c.Strokes), fingerKey)
	for _, line := range facts(c) {
		fmt.Fprintf(&b, "%s: %s\n", line.name, plain(line.value))
	}
	if len(c.Findings) > 0 {
		b.WriteString("\nWhat does not fit:\n")
		for _, f := range c.Findings {
			fmt.Fprintf(&b, "- %s\n", plain(f))
		}
	}
	return b.String()
}

// plain takes the code marks off a text.
func plain(s string) string { return strings.ReplaceAll(s, "`", "") }

// fact is one line of a card.
type fact struct{ name, value string }

// facts are what a card says below its table.
func facts(c rules.Card) []fact {
	list := []fact{{"Order", c.Order}}
	if c.Extent != "" {
		list = append(list, fact{"Span of the hand", c.Extent})
	}
	if c.Ends != "" {
		list = append(list, fact{"Ends here because", c.Ends})
	}
	if c.Next != "" {
		list = append(list, fact{"Next", c.Next + timeForNext(c)})
	}
	if c.Tempo != "" {
		list = append(list, fact{"Tempo here", c.Tempo})
	}
	switch {
	case c.Comfortable != "" && c.Holds != "":
		list = append(list, fact{"This group", "comfortable up to " + c.Comfortable + ", holds up to " + c.Holds})
	case c.Holds != "":
		list = append(list, fact{"This group", "holds up to " + c.Holds})
	}
	if c.Pedals != "" {
		list = append(list, fact{"Pedals", c.Pedals + "  " + c.Diagram})
	}
	if c.Glissando != "" {
		list = append(list, fact{"Glissando", c.Glissando})
	}
	return list
}

// timeForNext says how much time the hand has to get there, and how much it
// needs.
func timeForNext(c rules.Card) string {
	if c.NextHave <= 0 {
		return ""
	}
	s := fmt.Sprintf(" – %s s to get there", seconds(c.NextHave))
	if c.NextNeed > 0 {
		s += fmt.Sprintf(", %s s needed", seconds(c.NextNeed))
		if c.NextNeed > c.NextHave {
			s += ": too little"
		}
	}
	return s
}

// seconds has two digits that count below a second, one above.
func seconds(s float64) string {
	if s < 1 {
		return strconv.FormatFloat(s, 'f', 2, 64)
	}
	return strconv.FormatFloat(s, 'f', 1, 64)
}

// table sets fingers over notes, a column a stroke. The strings of a chord
// stand as in print, the highest on top.
func table(strokes []rules.CardStroke) string {
	height := 0
	for _, s := range strokes {
		height = max(height, len(s.Names))
	}
	columns := [][]string{headings(height)}
	for _, s := range strokes {
		columns = append(columns, column(s, height))
	}
	var b strings.Builder
	for row := range columns[0] {
		var line strings.Builder
		for _, c := range columns {
			fmt.Fprintf(&line, "%-*s  ", width(c), c[row])
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	return b.String()
}

// headings name the rows of a table: fingers, notes and pitches, of which a
// chord of the given height takes as many each.
func headings(height int) []string {
	rows := make([]string, 3*height)
	if height > 0 {
		rows[0], rows[height], rows[2*height] = "finger", "note", "pitch"
	}
	return rows
}

// column is one stroke's fingers, notes and pitches, padded from above.
func column(s rules.CardStroke, height int) []string {
	rows := make([]string, 3*height)
	for i := range s.Names {
		row := height - 1 - i
		if i < len(s.Fingers) {
			rows[row] = finger(s.Fingers[i])
		}
		rows[height+row] = s.Names[i]
		if i < len(s.Pitches) {
			rows[2*height+row] = s.Pitches[i]
		}
	}
	return rows
}

// finger is its number, or a dash for a string that no finger is left for.
func finger(n int) string {
	if n == 0 {
		return "–"
	}
	return strconv.Itoa(n)
}

// width is the widest cell of a column, in characters.
func width(column []string) int {
	w := 0
	for _, c := range column {
		w = max(w, utf8.RuneCountInString(c))
	}
	return w
}

// capital makes the first letter a capital.
func capital(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}
