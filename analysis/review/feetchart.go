package review

import (
	"fmt"
	"html/template"
	"slices"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
)

// FeetView is the feet of a section: the pedals over time where they move, and
// every full setting.
type FeetView struct {
	Charts   []template.HTML
	Still    string // bars without a move, in words
	Start    Diagram
	Settings []Diagram
	More     int // settings that are not drawn
	Moves    int
}

// Total is how many settings there are after the first.
func (v *FeetView) Total() int { return len(v.Settings) + v.More }

// mostSettings is how many pedal diagrams a page has.
const mostSettings = 80

func feetView(sec *Section) *FeetView {
	if sec.footwork.plan == nil {
		return nil
	}
	v := &FeetView{Moves: len(sec.footwork.plan.Moves)}
	all := sec.footwork.settings()
	v.Start = diagramOf(sec.part, all[0])
	rest := all[1:]
	if len(rest) > mostSettings {
		v.More = len(rest) - mostSettings
		rest = rest[:mostSettings]
	}
	for _, s := range rest {
		v.Settings = append(v.Settings, diagramOf(sec.part, s))
	}
	v.Charts, v.Still = moveCharts(feetChart(sec), true)
	return v
}

// feetChart has a row a pedal: up, in the middle or down over time.
func feetChart(sec *Section) moveChart {
	c := moveChart{tl: sec.part.Timeline, divide: 3, name: "The feet: the place of each pedal over time, and its moves",
		heads: [2]string{"pedal: up ♭ · middle ♮ · down ♯", "left foot: D C B · right foot: E F G A"}}
	for _, l := range feet.PedalOrder {
		t := track{name: l.String(), start: int(sec.footwork.plan.Initial[l]), places: map[int]string{}}
		for p := feet.Flat; p <= feet.Sharp; p++ {
			t.places[int(p)] = pedalName(l, p)[1:]
		}
		for _, m := range sec.footwork.plan.Moves {
			if m.Letter == l {
				t.moves = append(t.moves, sec.footwork.track(m))
			}
		}
		slices.SortStableFunc(t.moves, byDeadline)
		c.tracks = append(c.tracks, t)
	}
	return c
}

func byDeadline(a, b trackMove) int {
	switch {
	case a.deadline < b.deadline:
		return -1
	case a.deadline > b.deadline:
		return 1
	}
	return 0
}

// track is a move as its chart draws it.
func (f footwork) track(m feet.Move) trackMove {
	t := trackMove{bar: f.place(m).Bar, at: m.At, end: m.End, release: m.Release, deadline: m.Deadline, from: int(m.From), to: int(m.To),
		name: pedalName(m.Letter, m.To), words: f.moveWords(m),
		window: fmt.Sprintf("The time that the %s foot has to set %s: %s.", m.Foot, pedalName(m.Letter, m.To), rules.Seconds(m.Deadline-m.Release))}
	if m.Late > 0 {
		t.late = rules.Seconds(m.Late) + " late"
	}
	return t
}

func (f footwork) moveWords(m feet.Move) string {
	pl := f.place(m)
	words := fmt.Sprintf("%s to %s with the %s foot, for bar %d beat %s", pedalName(m.Letter, m.From), pedalName(m.Letter, m.To), m.Foot,
		pl.Bar, beatName(f.part, pl.Bar, pl.Onset))
	if m.Crossed {
		words += ", reaching over the middle"
	}
	if m.Rings {
		words += ", while a string of it still rings"
	}
	switch {
	case m.Late > 0 && m.Hurried:
		words += fmt.Sprintf("; %s late, in time only in a hurry", rules.Seconds(m.Late))
	case m.Late > 0:
		words += fmt.Sprintf("; %s late", rules.Seconds(m.Late))
	}
	return words + "."
}
