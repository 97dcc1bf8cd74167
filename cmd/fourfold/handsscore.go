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
	Bars        []ceilingJSON `json:"bars"`
	Figures     []ceilingJSON `json:"figures"`
	Both        bothJSON      `json:"bothHands"`
}

// bothJSON is what both hands cost together, and what no way to share the notes is
// below.
type bothJSON struct {
	Cost       float64 `json:"cost"`
	LowerBound float64 `json:"lowerBound"`
}

type placingJSON struct {
	Bar     int        `json:"bar"`
	Notes   [][]string `json:"notes"`   // stroke by stroke, from the lowest string up, as typed
	Pitches [][]string `json:"pitches"` // the same as pitches
	Fingers [][]int    `json:"fingers"`
	Order   string     `json:"order"`
	Change  string     `json:"change"`
	Load    float64    `json:"load"`
	Ends    string     `json:"ends"` // why the group ends where it does
}

// runHandsScore prints how the hands take a score.
func runHandsScore(file, format string, stdout, stderr io.Writer) int {
	text, err := os.ReadFile(file)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold hands: %s cannot be read (%v): check the name and its permissions\n", file, cause(err))
		return 2
	}
	reading, err := analysis.Read(context.Background(), syntax.Parse(text), settingsFor("hands", file, stderr).InSections(-1))
	if err != nil {
		fmt.Fprintf(stderr, "fourfold hands: %s: %v\n", file, err)
		return 2
	}
	for _, p := range reading.Parts() {
		if err := writeHands(stdout, format, p); err != nil {
			fmt.Fprintf(stderr, "fourfold hands: cannot write the result: %v\n", err)
			return 2
		}
	}
	if len(reading.Parts()) == 0 {
		fmt.Fprintf(stderr, "fourfold hands: %s holds no harp part: name a voice Harp, brace two staves, or add a line '%%%%fourfold harp RH LH'\n", file)
	}
	return 0
}

// writeHands prints both hands of a player, as they play.
func writeHands(w io.Writer, format string, p *rules.Part) error {
	both := bothHands(p)
	for _, h := range p.Played {
		if h == nil {
			continue
		}
		out := handOf(p, h)
		out.Both = both
		if format == "json" {
			enc := json.NewEncoder(w)
			enc.SetEscapeHTML(false)
			if err := enc.Encode(out); err != nil {
				return err
			}
		} else if err := writeHandText(w, p, out); err != nil {
			return err
		}
	}
	if format == "json" {
		return nil
	}
	return writeBothText(w, p, both)
}

// bothHands adds up what the hands cost as they play.
func bothHands(p *rules.Part) bothJSON {
	var written hands.Written
	var played [2]*hands.Solution
	strokes := 0
	for side, h := range p.Played {
		if h != nil {
			written.Staves[side], played[side] = h.Strokes, h.Solution
			strokes += len(h.Strokes)
		}
	}
	written.Two = true
	return bothJSON{
		Cost:       placingsCost(hands.Together(played[hands.Right], played[hands.Left])),
		LowerBound: placingsCost(hands.LeastTogether(written, p.Settings.Hand, waysFor(strokes))),
	}
}

func handOf(p *rules.Part, h *rules.Hand) handJSON {
	out := handJSON{Tune: p.Tune.Number, Player: p.Player.Name, Hand: h.Name, Cost: placingsCost(h.Solution.Cost),
		MaxLoad: h.Solution.MaxLoad, CeilingLoad: hands.Ceiling(h.Strokes, p.Settings.Hand), Placings: []placingJSON{},
		Bars: []ceilingJSON{}, Figures: []ceilingJSON{}}
	for k := range h.Solution.Placings {
		out.Placings = append(out.Placings, placingOf(p, h, k))
	}
	for _, c := range p.BarCeilings(h) {
		out.Bars = append(out.Bars, ceilingOf(p, h, c))
	}
	for _, c := range p.FigureCeilings(h) {
		f := ceilingOf(p, h, c)
		f.Notes = namesOf(p, h, c.From, c.To)
		out.Figures = append(out.Figures, f)
	}
	return out
}

func placingOf(p *rules.Part, h *rules.Hand, k int) placingJSON {
	pl := h.Solution.Placings[k]
	out := placingJSON{Bar: h.Plucks[pl.From][0].Bar, Fingers: pl.Fingers, Order: pl.Order.String(), Change: pl.Change.String(),
		Load: max(pl.Load, pl.ChangeLoad), Ends: h.Solution.Why(k).String(), Notes: namesOf(p, h, pl.From, pl.To)}
	for i := pl.From; i <= pl.To; i++ {
		var pitches []string
		for _, pluck := range h.Plucks[i] {
			pitches = append(pitches, rules.PitchName(pluck.Note.String, pluck.Note.Alter))
		}
		out.Pitches = append(out.Pitches, pitches)
	}
	return out
}

// namesOf are the notes of some strokes, stroke by stroke, as typed.
func namesOf(p *rules.Part, h *rules.Hand, from, to int) (out [][]string) {
	for i := from; i <= to; i++ {
		var names []string
		for _, pluck := range h.Plucks[i] {
			names = append(names, p.Typed(pluck))
		}
		out = append(out, names)
	}
	return out
}

func writeHandText(w io.Writer, p *rules.Part, h handJSON) error {
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
		fmt.Fprintf(&b, "  bar %-4d %-32s %-13s %-12s load %.2f  ends: %s\n", pl.Bar, strings.Join(notes, " "), pl.Order, pl.Change, pl.Load, pl.Ends)
	}
	writeChart(&b, p, h)
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
