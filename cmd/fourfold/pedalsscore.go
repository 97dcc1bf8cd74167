package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"slices"

	"fourfold/analysis"
	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// pedalPlan is one player's plan for one tune: a line of JSON. Settings are
// letters D C B | E F G A with b and #; times are seconds from the start.
type pedalPlan struct {
	Tune      string      `json:"tune"`
	Player    string      `json:"player,omitempty"`
	Setting   string      `json:"setting"`
	Final     string      `json:"final"`
	Moves     []planMove  `json:"moves"`               // in the order in which they are made
	Seams     []planSeam  `json:"seams,omitempty"`     // ways that the page does not show
	Glissandi []planSweep `json:"glissandi,omitempty"` // each holds all pedals
	part      *rules.Part
}

// planMove is one move. Bar and beat are those of the note that needs it.
type planMove struct {
	Bar         int     `json:"bar"`
	Beat        string  `json:"beat"`
	Pedal       string  `json:"pedal"`
	From        string  `json:"from"`
	To          string  `json:"to"`
	Foot        string  `json:"foot"`
	Crossed     bool    `json:"crossed,omitempty"` // the foot reaches over the middle
	WindowStart float64 `json:"windowStart"`
	WindowEnd   float64 `json:"windowEnd"`
	At          float64 `json:"at"`
	Late        float64 `json:"late"`
	words       string
	rings       bool
}

// planSeam is what the feet do on the way back to the start of a repeat, or into a
// later ending. Times are as if the music there followed on the page.
type planSeam struct {
	From  int        `json:"from"` // the bar before
	To    int        `json:"to"`   // the bar after
	Moves []planMove `json:"moves"`
}

// planSweep is a glissando, by its first note.
type planSweep struct {
	Bar     int      `json:"bar"`
	Beat    string   `json:"beat"`
	Setting string   `json:"setting"`
	Sounds  []string `json:"sounds"` // the strings, a letter each, from the first note's up
	setting feet.Setting
}

func runPedalsScore(file, format string, stdout, stderr io.Writer) int {
	text, err := os.ReadFile(file)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %s cannot be read (%v): check the name and its permissions\n", file, cause(err))
		return 2
	}
	reading, err := analysis.Read(context.Background(), syntax.Parse(text), settingsFor("pedals", file, stderr).InSections(-1))
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %s: %v\n", file, err)
		return 2
	}
	for _, p := range reading.Parts() {
		if err := writePart(stdout, format, p); err != nil {
			fmt.Fprintf(stderr, "fourfold pedals: cannot write the result: %v\n", err)
			return 2
		}
	}
	if len(reading.Parts()) == 0 {
		fmt.Fprintf(stderr, "fourfold pedals: %s holds no part for a harp: name a voice Harp, brace two staves, or add a line '%%%%fourfold harp RH LH'\n", file)
	}
	return 0
}

// footing is a plan that can be written for reading, or as JSON.
type footing interface{ text() string }

func writePart(w io.Writer, format string, p *rules.Part) error {
	var plan footing
	if p.Pedals != nil {
		plan = planOf(p)
	} else {
		plan = leverPlanOf(p)
	}
	if format == "json" {
		return json.NewEncoder(w).Encode(plan)
	}
	_, err := io.WriteString(w, plan.text())
	return err
}

// planOf tells a part's plan: the moves that are made where the page has them, and
// those on other ways.
func planOf(p *rules.Part) pedalPlan {
	plan := p.Pedals.Plan
	out := pedalPlan{Tune: p.Tune.Number, Player: p.Player.Name, Setting: plan.Initial.String(), Final: plan.Final.String(), Moves: []planMove{}, part: p}
	for _, m := range plan.Moves {
		if p.OnPage(m) {
			out.Moves = append(out.Moves, moveOf(p, m, *p.Pedals.Note(m.Demand).Pluck))
		}
	}
	for _, s := range p.Pedals.Seams {
		from, to := s.Bars()
		seam := planSeam{From: from, To: to}
		for i, m := range s.Moves {
			seam.Moves = append(seam.Moves, moveOf(p, m, *s.Notes[i].Pluck))
		}
		out.Seams = append(out.Seams, seam)
	}
	for _, g := range p.Pedals.Glissandi {
		out.Glissandi = append(out.Glissandi, planSweep{Bar: g.From.Bar, Beat: beatOf(p, g.From), Setting: g.Setting.String(),
			Sounds: g.Sounds(), setting: g.Setting})
	}
	return out
}

func moveOf(p *rules.Part, m feet.Move, at hands.Pluck) planMove {
	return planMove{Bar: at.Bar, Beat: beatOf(p, at), Pedal: m.Letter.String(),
		From: m.Letter.String() + m.From.String(), To: m.Letter.String() + m.To.String(), Foot: m.Foot.String(), Crossed: m.Crossed,
		WindowStart: nano(finite(m.Release)), WindowEnd: nano(m.Deadline), At: nano(m.At), Late: nano(m.Late), rings: m.Rings,
		words: rules.LetterName(int(m.Letter), int(m.To))}
}

// beatOf says where in its bar a note stands, in beats.
func beatOf(p *rules.Part, at hands.Pluck) string {
	return rules.BeatName(at.Onset, p.Timeline.BeatAt(at.Bar, at.Onset))
}

// finite keeps JSON free of infinities: before the piece is its start.
func finite(t float64) float64 {
	if math.IsInf(t, 0) {
		return 0
	}
	return t
}

// byBar gives moves in the order of the bars that need them.
func byBar(moves []planMove) []planMove {
	sorted := slices.Clone(moves)
	slices.SortStableFunc(sorted, func(a, b planMove) int { return a.Bar - b.Bar })
	return sorted
}
