package main

import (
	"fmt"
	"io"
	"strings"

	"fourfold/analysis/rules"
)

// ceilingJSON is how fast a bar or a figure can go: no fingering in the model does
// better. HoldsUpTo is in quarters a minute, absent where nothing limits it.
type ceilingJSON struct {
	Bar         int        `json:"bar"`
	From        int        `json:"from"` // the first stroke of the hand, from 0
	To          int        `json:"to"`   // the last, inclusive
	Notes       [][]string `json:"notes,omitempty"`
	CeilingLoad float64    `json:"ceilingLoad"`
	HoldsUpTo   float64    `json:"holdsUpTo,omitempty"`
	Impossible  bool       `json:"impossible,omitempty"`
	words       string     // the tempo in the beat of the score
}

func ceilingOf(p *rules.Part, h *rules.Hand, c rules.Ceiling) ceilingJSON {
	out := ceilingJSON{Bar: c.Bar, From: c.From, To: c.To, CeilingLoad: c.Load, HoldsUpTo: c.HoldsUpTo, Impossible: c.Impossible}
	if c.HoldsUpTo > 0 {
		out.words = rules.TempoWords(c.HoldsUpTo, p.Timeline.BeatAt(c.Bar, h.Plucks[c.From][0].Onset))
	}
	return out
}

// The chart's line for a bar is so many characters for a load of 1, and goes up to
// twice that.
const chartUnit = 20

// writeChart draws the load of each bar as a line, with the line of what can be played
// across, and names the figure of the bar that is hardest.
func writeChart(b *strings.Builder, p *rules.Part, h handJSON) {
	if len(h.Bars) == 0 {
		return
	}
	b.WriteString("  load per bar: the time needed ÷ the time there is, with the best fingering; beyond the line it cannot be played\n")
	for _, bar := range h.Bars {
		line := []rune(strings.Repeat(" ", 2*chartUnit+1))
		for i := range min(len(line), int(bar.CeilingLoad*chartUnit+.5)) {
			line[i] = '='
		}
		line[chartUnit] = '|'
		fmt.Fprintf(b, "  bar %-4d %5.2f %s", bar.Bar, bar.CeilingLoad, strings.TrimRight(string(line), " "))
		if says := barSays(h, bar); says != "" {
			fmt.Fprintf(b, "%s%s", strings.Repeat(" ", 2*chartUnit+2-len(strings.TrimRight(string(line), " "))), says)
		}
		b.WriteString("\n")
	}
}

func barSays(h handJSON, bar ceilingJSON) string {
	var says []string
	if bar.Impossible {
		says = append(says, "holds notes that no hand takes at once")
	}
	if bar.words != "" {
		says = append(says, "holds up to "+bar.words)
	}
	if f, ok := hardest(h.Figures, bar.Bar); ok {
		says = append(says, fmt.Sprintf("hardest figure %s: %.2f, up to %s", figureName(f.Notes), f.CeilingLoad, f.words))
	}
	return strings.Join(says, "; ")
}

// hardest is the figure of a bar with the largest load; false where it has none that
// needs time.
func hardest(figures []ceilingJSON, bar int) (worst ceilingJSON, ok bool) {
	for _, f := range figures {
		if f.Bar == bar && f.CeilingLoad > worst.CeilingLoad {
			worst, ok = f, true
		}
	}
	return worst, ok
}

// figureName writes a figure as it is typed; of a long one the first eight strokes.
func figureName(notes [][]string) string {
	const most = 8
	more := ""
	if len(notes) > most {
		notes, more = notes[:most], " …"
	}
	var words []string
	for _, names := range notes {
		word := strings.Join(names, "")
		if len(names) > 1 {
			word = "[" + word + "]"
		}
		words = append(words, word)
	}
	return strings.Join(words, " ") + more
}

// writeBothText says what both hands cost together, and how far from the least that may
// be.
func writeBothText(w io.Writer, p *rules.Part, both bothJSON) error {
	title := "Tune " + p.Tune.Number
	if p.Player.Name != "" {
		title += ", " + p.Player.Name
	}
	_, err := fmt.Fprintf(w, "%s, both hands: cost %.2f as played; no way to share the notes costs less than %.2f\n\n", title, both.Cost, both.LowerBound)
	return err
}
