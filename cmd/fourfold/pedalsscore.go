package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// pedalPlan is one player's plan for one tune: a line of JSON. Settings are
// letters D C B | E F G A with b and #; times are seconds from the start.
type pedalPlan struct {
	Tune    string     `json:"tune"`
	Player  string     `json:"player,omitempty"`
	Setting string     `json:"setting"`
	Final   string     `json:"final"`
	Moves   []planMove `json:"moves"`
}

// planMove is one move. Bar and beat are those of the note that needs it.
type planMove struct {
	Bar         int     `json:"bar"`
	Beat        string  `json:"beat"`
	Pedal       string  `json:"pedal"`
	From        string  `json:"from"`
	To          string  `json:"to"`
	Foot        string  `json:"foot"`
	WindowStart float64 `json:"windowStart"`
	WindowEnd   float64 `json:"windowEnd"`
	At          float64 `json:"at"`
	Late        float64 `json:"late"`
	words       string
	rings       bool
}

func runPedalsScore(file, format string, stdout, stderr io.Writer) int {
	text, err := os.ReadFile(file)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %s cannot be read (%v): check the name and its permissions\n", file, cause(err))
		return 2
	}
	reading, err := analysis.Read(context.Background(), syntax.Parse(text), settingsFor("pedals", file, stderr))
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %s: %v\n", file, err)
		return 2
	}
	planned := 0
	for _, p := range reading.Parts() {
		if p.Pedals == nil {
			continue
		}
		planned++
		if err := writePlan(stdout, format, p); err != nil {
			fmt.Fprintf(stderr, "fourfold pedals: cannot write the result: %v\n", err)
			return 2
		}
	}
	if planned == 0 {
		fmt.Fprintf(stderr, "fourfold pedals: %s holds no part for a harp with pedals: name a voice Harp, brace two staves, or add a line '%%%%fourfold harp RH LH'\n", file)
	}
	return 0
}

func writePlan(w io.Writer, format string, p *rules.Part) error {
	plan := p.Pedals.Plan
	out := pedalPlan{Tune: p.Tune.Number, Player: p.Player.Name, Setting: plan.Initial.String(), Final: plan.Final.String(), Moves: []planMove{}}
	for _, m := range plan.Moves {
		out.Moves = append(out.Moves, moveOf(p, m))
	}
	if format == "json" {
		return json.NewEncoder(w).Encode(out)
	}
	_, err := io.WriteString(w, planText(p, out))
	return err
}

func moveOf(p *rules.Part, m feet.Move) planMove {
	bar, onset := p.Pedals.Place(m.Demand)
	return planMove{Bar: bar, Beat: rules.BeatName(onset, p.Timeline.BeatAt(bar, onset)), Pedal: m.Letter.String(),
		From: m.Letter.String() + m.From.String(), To: m.Letter.String() + m.To.String(), Foot: m.Foot.String(),
		WindowStart: finite(m.Release), WindowEnd: m.Deadline, At: m.At, Late: m.Late, rings: m.Rings,
		words: rules.LetterName(int(m.Letter), int(m.To))}
}

// finite keeps JSON free of infinities: before the piece is its start.
func finite(t float64) float64 {
	if math.IsInf(t, 0) {
		return 0
	}
	return t
}

func planText(p *rules.Part, plan pedalPlan) string {
	var b strings.Builder
	title := "Tune " + plan.Tune
	if plan.Player != "" {
		title += ", " + plan.Player
	}
	initial := p.Pedals.Plan.Initial
	fmt.Fprintf(&b, "%s: %s\n  before the piece  %s   %s\n", title, plural(len(plan.Moves), "move"), rules.SettingWords(initial), rules.Diagram(initial))
	for _, m := range plan.Moves {
		note := ""
		switch {
		case m.Late > 1e-9:
			note = fmt.Sprintf("  %.2f s late", m.Late)
		case m.rings:
			note = "  while its string rings"
		}
		fmt.Fprintf(&b, "  bar %-4d beat %-5s %-5s foot  %s  at %.2f s, between %.2f and %.2f s%s\n", m.Bar, m.Beat, m.Foot, m.words, m.At, m.WindowStart, m.WindowEnd, note)
	}
	fmt.Fprintf(&b, "  at the end        %s   %s\n\n", rules.SettingWords(p.Pedals.Plan.Final), rules.Diagram(p.Pedals.Plan.Final))
	return b.String()
}
