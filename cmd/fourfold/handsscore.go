package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// handJSON is one hand of one tune: a line of JSON. Cost is in placings, loads
// are need ÷ time there is.
type handJSON struct {
	Tune        string        `json:"tune"`
	Player      string        `json:"player,omitempty"`
	Hand        string        `json:"hand"`
	Cost        float64       `json:"cost"`
	MaxLoad     float64       `json:"maxLoad"`
	CeilingLoad float64       `json:"ceilingLoad"`
	Placings    []placingJSON `json:"placings"`
}

type placingJSON struct {
	Bar     int        `json:"bar"`
	Notes   [][]string `json:"notes"`   // stroke by stroke, from the lowest string up, as typed
	Pitches [][]string `json:"pitches"` // the same as pitches
	Fingers [][]int    `json:"fingers"`
	Order   string     `json:"order"`
	Change  string     `json:"change"`
	Load    float64    `json:"load"`
}

// runHandsScore prints how the hands take a score.
func runHandsScore(file, format string, stdout, stderr io.Writer) int {
	text, err := os.ReadFile(file)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold hands: %s cannot be read (%v): check the name and its permissions\n", file, cause(err))
		return 2
	}
	reading, err := analysis.Read(context.Background(), syntax.Parse(text), settingsFor("hands", file, stderr))
	if err != nil {
		fmt.Fprintf(stderr, "fourfold hands: %s: %v\n", file, err)
		return 2
	}
	for _, p := range reading.Parts() {
		for _, h := range p.Played {
			if h == nil {
				continue
			}
			if err := writeHand(stdout, format, p, h); err != nil {
				fmt.Fprintf(stderr, "fourfold hands: cannot write the result: %v\n", err)
				return 2
			}
		}
	}
	if len(reading.Parts()) == 0 {
		fmt.Fprintf(stderr, "fourfold hands: %s holds no harp part: name a voice Harp, brace two staves, or add a line '%%%%fourfold harp RH LH'\n", file)
	}
	return 0
}

func writeHand(w io.Writer, format string, p *rules.Part, h *rules.Hand) error {
	out := handJSON{Tune: p.Tune.Number, Player: p.Player.Name, Hand: h.Name, Cost: float64(h.Solution.Cost) / 1e6,
		MaxLoad: h.Solution.MaxLoad, CeilingLoad: hands.Ceiling(h.Strokes, p.Settings.Hand), Placings: []placingJSON{}}
	for k := range h.Solution.Placings {
		out.Placings = append(out.Placings, placingOf(p, h, k))
	}
	if format == "json" {
		enc := json.NewEncoder(w)
		enc.SetEscapeHTML(false)
		return enc.Encode(out)
	}
	return writeHandText(w, out)
}

func placingOf(p *rules.Part, h *rules.Hand, k int) placingJSON {
	pl := h.Solution.Placings[k]
	out := placingJSON{Bar: h.Plucks[pl.From][0].Bar, Fingers: pl.Fingers, Order: pl.Order.String(), Change: pl.Change.String(),
		Load: max(pl.Load, pl.ChangeLoad)}
	for i := pl.From; i <= pl.To; i++ {
		var names, pitches []string
		for _, pluck := range h.Plucks[i] {
			names = append(names, p.Typed(pluck))
			pitches = append(pitches, rules.PitchName(pluck.Note.String, pluck.Note.Alter))
		}
		out.Notes = append(out.Notes, names)
		out.Pitches = append(out.Pitches, pitches)
	}
	return out
}

func writeHandText(w io.Writer, h handJSON) error {
	var b strings.Builder
	title := "Tune " + h.Tune
	if h.Player != "" {
		title += ", " + h.Player
	}
	fmt.Fprintf(&b, "%s, %s: %d groups", title, h.Hand, len(h.Placings))
	if h.CeilingLoad > 0 {
		fmt.Fprintf(&b, "; at best it holds up to %.2f times this tempo", 1/h.CeilingLoad)
	}
	b.WriteString("\n")
	for _, pl := range h.Placings {
		var notes []string
		for i, names := range pl.Notes {
			notes = append(notes, strings.Join(names, "")+"="+digits(pl.Fingers[i]))
		}
		fmt.Fprintf(&b, "  bar %-4d %-32s %-13s %-12s load %.2f\n", pl.Bar, strings.Join(notes, " "), pl.Order, pl.Change, pl.Load)
	}
	b.WriteString("\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func digits(fingers []int) string {
	var b strings.Builder
	for _, f := range fingers {
		if f == 0 {
			b.WriteByte('-')
			continue
		}
		fmt.Fprint(&b, f)
	}
	return b.String()
}
