package main

import (
	"fmt"
	"strings"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
)

// leverPlan is one player's plan for one tune on a lever harp: a line of JSON. Strings
// are pitches without their lever ("F4"); times are seconds from the start.
type leverPlan struct {
	Tune    string      `json:"tune"`
	Player  string      `json:"player,omitempty"`
	Raised  []string    `json:"raised"` // levers that are up before the piece
	Moves   []leverMove `json:"moves"`
	Missing []leverMiss `json:"missing"` // notes that the tuning does not reach
}

// leverMove is one lever. Bar and beat are those of the note that needs it.
type leverMove struct {
	Bar         int     `json:"bar"`
	Beat        string  `json:"beat"`
	String      string  `json:"string"`
	Lever       string  `json:"lever"` // "up" or "down"
	Free        bool    `json:"free"`  // a hand is free for it
	Hand        string  `json:"hand,omitempty"`
	WindowStart float64 `json:"windowStart"`
	WindowEnd   float64 `json:"windowEnd"`
	At          float64 `json:"at"`
}

// leverMiss is a note that neither position of its string's lever gives.
type leverMiss struct {
	Bar   int    `json:"bar"`
	Beat  string `json:"beat"`
	Pitch string `json:"pitch"`
}

func leverPlanOf(p *rules.Part) leverPlan {
	levers := p.Levers()
	out := leverPlan{Tune: p.Tune.Number, Player: p.Player.Name, Raised: []string{}, Moves: []leverMove{}, Missing: []leverMiss{}}
	for _, str := range levers.Raised {
		out.Raised = append(out.Raised, openString(p, str))
	}
	for _, m := range levers.Moves {
		at := levers.Note(m.Demand).Pluck
		move := leverMove{Bar: at.Bar, Beat: beatOf(p, *at), String: openString(p, m.String), Lever: "down", Free: m.Free,
			WindowStart: nano(finite(m.Release)), WindowEnd: nano(m.Deadline), At: nano(m.At)}
		if m.Up {
			move.Lever = "up"
		}
		if m.Free {
			move.Hand = m.Hand.String()
		}
		out.Moves = append(out.Moves, move)
	}
	for _, i := range levers.Unreachable {
		at := levers.Note(i).Pluck
		out.Missing = append(out.Missing, leverMiss{at.Bar, beatOf(p, *at), rules.PitchName(at.Note.String, at.Note.Alter)})
	}
	return out
}

// openString names a string by its pitch with the lever down.
func openString(p *rules.Part, str int) string {
	open := p.Settings.Instrument.Open[feet.Note{String: str}.Letter()]
	return rules.PitchName(str, int(open))
}

// withSigns writes pitches with the signs of music, for people: "B♭4 F♯5".
func withSigns(pitches string) string {
	return strings.NewReplacer("#", "♯", "b", "♭").Replace(pitches)
}

// text is the plan for reading.
func (plan leverPlan) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", partTitle(plan.Tune, plan.Player), plural(len(plan.Moves), "lever"))
	raised := "none"
	if len(plan.Raised) > 0 {
		raised = withSigns(strings.Join(plan.Raised, " "))
	}
	fmt.Fprintf(&b, "  levers up before the piece  %s\n", raised)
	for _, m := range plan.Moves {
		hand := "no hand is free"
		if m.Free {
			hand = m.Hand + " hand"
		}
		fmt.Fprintf(&b, "  bar %-4d beat %-5s %s lever %s  %s  at %.2f s, between %.2f and %.2f s\n", m.Bar, m.Beat, withSigns(m.String), m.Lever, hand, m.At, m.WindowStart, m.WindowEnd)
	}
	for _, m := range plan.Missing {
		fmt.Fprintf(&b, "  bar %-4d beat %-5s %s cannot be had: its lever does not reach it\n", m.Bar, m.Beat, withSigns(m.Pitch))
	}
	b.WriteByte('\n')
	return b.String()
}
