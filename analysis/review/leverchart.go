package review

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"fourfold/analysis/feet"
	"fourfold/analysis/harp"
	"fourfold/analysis/rules"
)

// LeverView is the levers of a section on a harp that has them: how they stand
// before the piece, and when a hand moves one.
type LeverView struct {
	Tuning string // what the strings sound with every lever down
	Start  template.HTML
	Raised []string // "E♮ on E3 and E4": the levers that are up before the piece
	Charts []template.HTML
	Still  string // bars without a move, in words
	Moves  int
}

func leverView(sec *Section) *LeverView {
	l := sec.footwork.levers
	if l == nil {
		return nil
	}
	v := &LeverView{Moves: len(l.Moves), Tuning: tuningWords(sec.part.Settings.Instrument)}
	v.Raised = raisedWords(sec.part.Settings.Instrument, l.Raised)
	v.Start = leverDiagram(sec.part.Settings.Instrument, l.Raised)
	v.Charts, v.Still = moveCharts(leverChart(sec), false)
	return v
}

func letterOf(str int) int { return (str%7 + 7) % 7 }

// leverSounds is what a string sounds with its lever down or up: "F♮", "F♯".
func leverSounds(i harp.Instrument, str int, up bool) string {
	alter := feet.Pos(i.Open[letterOf(str)])
	if up {
		alter++
	}
	if !alter.Valid() {
		return harp.StringName(str)
	}
	return pedalName(feet.Letter(letterOf(str)), alter)
}

func tuningWords(i harp.Instrument) string {
	var words []string
	for letter := range 7 {
		words = append(words, leverSounds(i, letter, false))
	}
	return strings.Join(words, " ")
}

// raisedWords name the levers that are up, letter by letter.
func raisedWords(i harp.Instrument, raised []int) (out []string) {
	for letter := range 7 {
		var names []string
		for _, str := range raised {
			if letterOf(str) == letter {
				names = append(names, harp.StringName(str))
			}
		}
		if len(names) > 0 {
			out = append(out, leverSounds(i, letter, true)+" on "+rules.List(names))
		}
	}
	return out
}

// leverDiagram shows every string of the harp from low to high, with a tick above
// the line where its lever is up and below it where it is down.
func leverDiagram(i harp.Instrument, raised []int) template.HTML {
	const step = 12.0
	d := &drawing{width: 16 + step*float64(i.Highest-i.Lowest+1), height: 58}
	d.line("pd-line", 6, 26, d.width-6, 26)
	for str := i.Lowest; str <= i.Highest; str++ {
		x := 14 + step*float64(str-i.Lowest)
		class := map[int]string{0: " st-c", 3: " st-f"}[letterOf(str)]
		if slices.Contains(raised, str) {
			d.mark("lever", fmt.Sprintf("The lever of %s is up: it sounds %s.", harp.StringName(str), leverSounds(i, str, true)), func() {
				d.line("pd-tick", x, 12, x, 24)
				d.text("tiny m", x, 9, harp.StringName(str)[:1])
			})
		} else {
			d.line("lever-down"+class, x, 28, x, 36)
		}
		if letterOf(str) == 0 {
			d.text("tiny m faint", x, 50, harp.StringName(str))
		}
	}
	return d.picture(fmt.Sprintf("The levers before the piece, from the lowest string to the highest: %d of %d are up.", len(raised), i.Highest-i.Lowest+1))
}

// leverChart has a row a string whose lever moves, the highest string first.
func leverChart(sec *Section) moveChart {
	l, instrument := sec.footwork.levers, sec.part.Settings.Instrument
	c := moveChart{tl: sec.part.Timeline, name: "The levers: which are moved when, and by which hand",
		heads: [2]string{"lever of a string: up, a semitone higher · down", "square: left hand · round: right hand"}}
	byString := map[int]*track{}
	for _, m := range l.Moves {
		t := byString[m.String]
		if t == nil {
			t = &track{name: harp.StringName(m.String), start: leverPlace(!m.Up),
				places: map[int]string{-1: leverSounds(instrument, m.String, true)[1:], 1: leverSounds(instrument, m.String, false)[1:]}}
			byString[m.String] = t
		}
		t.moves = append(t.moves, sec.footwork.lever(m))
	}
	strings := sortedKeys(byString)
	slices.Reverse(strings)
	for _, str := range strings {
		slices.SortStableFunc(byString[str].moves, byDeadline)
		byString[str].start = -byString[str].moves[0].to
		c.tracks = append(c.tracks, *byString[str])
	}
	return c
}

// leverPlace is the level of a lever in its row: up is up.
func leverPlace(up bool) int {
	if up {
		return -1
	}
	return 1
}

// lever is a move as its chart draws it.
func (f footwork) lever(m feet.LeverMove) trackMove {
	sounds, way := leverSounds(f.part.Settings.Instrument, m.String, m.Up), "down"
	if m.Up {
		way = "up"
	}
	pl := f.levers.Note(m.Demand).Pluck
	t := trackMove{bar: pl.Bar, at: m.At, end: m.End, release: m.Release, deadline: m.Deadline,
		from: leverPlace(!m.Up), to: leverPlace(m.Up), name: sounds, square: m.Hand == feet.LeftHand,
		window: fmt.Sprintf("The time between the notes in which the lever of %s has to move: %s.", harp.StringName(m.String), rules.Seconds(m.Deadline-m.Release))}
	t.words = fmt.Sprintf("The lever of %s %s, to %s, for bar %d beat %s", harp.StringName(m.String), way, sounds, pl.Bar, beatName(f.part, pl.Bar, pl.Onset))
	if m.Free {
		t.words += fmt.Sprintf(", with the %s hand.", m.Hand)
	} else {
		t.late = "no hand free"
		t.words += "; no hand is free for it."
	}
	return t
}

// busy are the lever moves for which no hand is free.
func (f footwork) busy() (out []feet.LeverMove) {
	if f.levers == nil {
		return nil
	}
	for _, m := range f.levers.Moves {
		if !m.Free {
			out = append(out, m)
		}
	}
	return out
}

// sayLevers says what the piece asks of the hands at the levers.
func (sec *Section) sayLevers(w *prose) {
	l := sec.footwork.levers
	switch {
	case len(l.Raised) == 0:
		w.say("All levers are down before the piece")
	default:
		w.say(fmt.Sprintf("%s up before the piece", upper(areThe(len(l.Raised), "lever"))))
	}
	if len(l.Moves) == 0 {
		w.say(", and none moves in it.")
		return
	}
	w.say(fmt.Sprintf("; the hands move %s in it", rules.Count(len(l.Moves), "lever")))
	busy := sec.footwork.busy()
	if len(busy) == 0 {
		w.say(", each while a hand is free.")
		return
	}
	first := sec.footwork.levers.Note(busy[0].Demand).Pluck
	w.say(fmt.Sprintf(". For %d of them no hand is free, first for bar %d.", len(busy), first.Bar))
}

func areThe(n int, thing string) string {
	if n == 1 {
		return "1 " + thing + " is"
	}
	return fmt.Sprintf("%d %ss are", n, thing)
}
