package review

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
)

// Diagram is the pedal diagram of one full setting: a long line for the natural
// position, a tick above it for flat, below it for sharp, and a divider between
// the feet after D C B. Signs: a dissertation site on harp notation of the
// Sibelius Academy, "Pedal diagrams"; read.
type Diagram struct {
	Where   string // "before the piece", "bar 12, beat 2"
	Words   string // "D♮ C♮ B♭ | E♮ F♮ G♮ A♮"
	Picture template.HTML
	Moved   string // "C♯ F♯"; "" at the start
}

func diagramOf(p *rules.Part, s settingAt) Diagram {
	d := Diagram{Where: "before the piece", Words: rules.SettingWords(s.setting)}
	if s.later {
		d.Where = fmt.Sprintf("bar %d, beat %s", s.place.Bar, beatName(p, s.place.Bar, s.place.Onset))
		d.Moved = movedWords(s)
	}
	d.Picture = pedalDiagram(s, d)
	return d
}

func movedWords(s settingAt) string {
	var words []string
	for _, l := range feet.PedalOrder {
		if slices.Contains(s.moved, l) {
			words = append(words, pedalName(l, s.setting[l]))
		}
	}
	return strings.Join(words, " ")
}

func pedalName(l feet.Letter, p feet.Pos) string {
	if !p.Valid() {
		return l.String()
	}
	return l.String() + [...]string{"♭", "♮", "♯"}[p+1]
}

func pedalDiagram(s settingAt, words Diagram) template.HTML {
	d := &drawing{width: 148, height: 50}
	d.line("pd-line", 6, 22, 142, 22)
	d.line("pd-line", 63, 6, 63, 38)
	for i, l := range feet.PedalOrder {
		x := 15 + 16*float64(i)
		if i >= 3 {
			x += 16
		}
		y1, y2 := 16.0, 28.0 // natural: on the line
		switch s.setting[l] {
		case feet.Flat:
			y1, y2 = 8, 20
		case feet.Sharp:
			y1, y2 = 24, 36
		}
		class := "pd"
		if slices.Contains(s.moved, l) {
			class = "pd moved"
			d.circle("pd-ring", x, (y1+y2)/2, 9)
		}
		d.mark(class, pedalName(l, s.setting[l]), func() {
			d.line("pd-tick", x, y1, x, y2)
			d.text("tiny m", x, 48, l.String())
		})
	}
	name := "Pedal diagram, " + words.Where + ": " + words.Words
	if words.Moved != "" {
		name += "; moved: " + words.Moved
	}
	return d.picture(name)
}
