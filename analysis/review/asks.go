package review

import (
	"context"
	"fmt"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Asks is what one player's tune asks of a harpist, in the figures that the
// page shows.
type Asks struct {
	Tune, Player int // from 0: which tune of the score, which part of the tune
	Name         string
	// Asked is the tempo of the score at the hardest place, Comfortable and Holds
	// what is easy and what is possible there; in the beat of the score, "" where
	// nothing limits the tempo.
	Asked, Comfortable, Holds string
	Load                      float64 // Asked ÷ Holds, 0 where nothing limits the tempo
	Bar                       int     // the hardest bar, 0 for none
	Who                       string  // who is short of time there: "right hand", "left foot"
	Assumed                   bool    // the score gives no tempo
	Moves, Late               int     // of pedals
	BusiestBar, BusiestMoves  int     // where most pedals move, 0 for nowhere
	Pedals                    bool    // the harp has pedals
}

// AsksOf works out what each part of a reading asks. The only error is the
// context's.
func AsksOf(ctx context.Context, r *analysis.Reading) (out []Asks, err error) {
	for i, t := range r.Score().Tunes {
		if l := r.Long(i); l != nil {
			out = append(out, asksOfLong(l, t, i)...)
			continue
		}
		parts := r.PartsOf(i)
		byPart := make([][]rules.Finding, len(parts))
		for _, f := range r.Touching(t.Span) {
			if k, ok := partOf(parts, f); ok {
				byPart[k] = append(byPart[k], f)
			}
		}
		for k, p := range parts {
			a, err := asksOf(ctx, p, byPart[k])
			if err != nil {
				return nil, err
			}
			a.Tune, a.Player = i, k
			out = append(out, a)
		}
	}
	return out, nil
}

// asksOfLong puts together what the sections of a long tune ask.
func asksOfLong(l *rules.Long, t *score.Tune, tune int) (out []Asks) {
	for i, player := range l.Players {
		sum, most := l.Sum(i)
		a := Asks{Tune: tune, Player: i, Name: player.Name, Assumed: l.Assumed(t), Pedals: l.Settings().Instrument.Pedals,
			Moves: sum.Moves, Late: sum.Late, BusiestBar: sum.BusiestBar, BusiestMoves: sum.BusiestMoves}
		bar, onset := 1, score.Zero
		if most.Load > 0 {
			bar, onset = most.Bar, orStart(most.Onset)
			a.Load, a.Bar, a.Who = most.Load, most.Bar, most.Who
		}
		q, beat := l.TempoAt(t, bar, onset)
		a.Asked = rules.TempoWords(q, beat)
		if a.Load > 0 {
			a.Holds, a.Comfortable = rules.TempoWords(q/a.Load, beat), rules.TempoWords(l.Settings().Hand.Comfortable*q/a.Load, beat)
		}
		out = append(out, a)
	}
	return out
}

func asksOf(ctx context.Context, p *rules.Part, findings []rules.Finding) (Asks, error) {
	f := footworkOf(p)
	worst, err := p.TightestIn(ctx, 1, p.Timeline.Bars())
	l := limitOf(p, f, worst, speedFindings(p, findings))
	q, beat := tempoAt(p, max(1, l.bar), orStart(l.onset))
	a := Asks{Name: p.Player.Name, Asked: rules.TempoWords(q, beat), Load: l.load, Bar: l.bar, Who: l.who, Assumed: p.Timeline.Assumed(), Pedals: f.plan != nil}
	if l.load > 0 {
		a.Holds, a.Comfortable = rules.TempoWords(q/l.load, beat), rules.TempoWords(p.Settings.Hand.Comfortable*q/l.load, beat)
	}
	a.feet(f)
	return a, err
}

// speedFindings are the findings about speed that say it is too much.
func speedFindings(p *rules.Part, findings []rules.Finding) (out []located) {
	for _, f := range findings {
		if f.Speed == nil || f.Severity > rules.Warning {
			continue
		}
		if l, ok := locate(p, numbered{Finding: f}); ok {
			out = append(out, l)
		}
	}
	return out
}

// feet counts the moves, and finds the bar that has most of them.
func (a *Asks) feet(f footwork) {
	if f.plan == nil {
		return
	}
	a.Moves, a.Late = len(f.plan.Moves), len(f.late())
	inBar := map[int]int{}
	for _, m := range f.plan.Moves {
		bar := f.place(m).Bar
		inBar[bar]++
		if n := inBar[bar]; n > a.BusiestMoves || n == a.BusiestMoves && bar < a.BusiestBar {
			a.BusiestBar, a.BusiestMoves = bar, n
		}
	}
}

// String says it in one line: "♩ = 132 asked, holds up to ♩ = 101 · hardest: bar 12,
// right hand · 14 pedal moves, 1 late · busiest: bar 9, 3 moves".
func (a Asks) String() string {
	asked := a.Asked + " asked"
	if a.Assumed {
		asked = a.Asked + " assumed"
	}
	var parts []string
	if a.Holds == "" {
		parts = append(parts, asked+", any tempo holds")
	} else {
		parts = append(parts, asked+", holds up to "+a.Holds, fmt.Sprintf("hardest: bar %d, %s", a.Bar, a.Who))
	}
	switch {
	case !a.Pedals:
	case a.Moves == 0:
		parts = append(parts, "no pedal moves")
	default:
		moves := rules.Count(a.Moves, "pedal move")
		if a.Late > 0 {
			moves += fmt.Sprintf(", %d late", a.Late)
		}
		parts = append(parts, moves, fmt.Sprintf("busiest: bar %d, %s", a.BusiestBar, rules.Count(a.BusiestMoves, "move")))
	}
	return strings.Join(parts, " · ")
}
