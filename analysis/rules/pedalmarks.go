package rules

import (
	"regexp"
	"slices"
	"strings"

	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

// PedalMark is what the engraver wrote about pedals over a note or rest.
type PedalMark struct {
	Bar     int
	Onset   score.Frac
	Span    score.Span // bytes of the file
	Voice   string
	Text    string
	Setting feet.Setting // Free for the letters that it does not name
	Full    bool         // all seven
}

// readPedalMarks reads the annotations of a part, in order of bar and place.
func (p *Part) readPedalMarks() (out []PedalMark) {
	for _, v := range p.read() {
		for b := range v.Bars() {
			bar := &v.Bars()[b]
			for e := range bar.Events() {
				for _, m := range bar.Events()[e].Marks {
					if s, full, ok := pedalMarkOf(m); ok {
						out = append(out, PedalMark{v.Number(b), bar.Events()[e].Onset, m.Span.Shift(bar.Start), v.ID, m.Text, s, full})
					}
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b PedalMark) int { return comparePlaces(a.Bar, a.Onset, b.Bar, b.Onset) })
	return out
}

// pedalMarkOf reads a mark over a note; false where it says nothing of pedals.
func pedalMarkOf(m score.Mark) (s feet.Setting, full, ok bool) {
	if m.Kind != score.Annotation {
		return s, false, false
	}
	return readPedals(m.Text)
}

func comparePlaces(bar1 int, onset1 score.Frac, bar2 int, onset2 score.Frac) int {
	if bar1 != bar2 {
		return bar1 - bar2
	}
	return onset1.Cmp(onset2)
}

var (
	pedalTokens  = regexp.MustCompile(`[A-G][♭♮♯bn#]?`)
	pedalLetters = regexp.MustCompile(`^(?:[A-G][♭♮♯bn#]?[\s,;|/]*)+$`)
)

// readPedals reads the text of a mark: a letter with its sign, or two or more of
// them (the right foot's above the left foot's); a setting spelled out, where a
// letter without a sign is natural; or a diagram of seven marks with a bar after
// the third: ^-v, or the signs of Diagram. A lone letter without a sign is none:
// it may be a rehearsal letter.
func readPedals(text string) (s feet.Setting, full, ok bool) {
	if s, ok := readDiagram(text); ok {
		return s, true, true
	}
	s = feet.AllFree()
	if !pedalLetters.MatchString(text) {
		return s, false, false
	}
	tokens := pedalTokens.FindAllString(text, -1)
	full = len(tokens) == feet.Letters
	for _, token := range tokens {
		l := strings.IndexByte("CDEFGAB", token[0])
		if s[l] != feet.Free || len(token) == 1 && !full {
			return s, false, false
		}
		switch token[1:] {
		case "♭", "b":
			s[l] = feet.Flat
		case "♯", "#":
			s[l] = feet.Sharp
		default:
			s[l] = feet.Natural
		}
	}
	return s, full, true
}

var diagramForm = regexp.MustCompile(`^[-^v▔─▁]{3}[|│][-^v▔─▁]{4}$`)

func readDiagram(text string) (s feet.Setting, ok bool) {
	text = strings.ReplaceAll(text, " ", "")
	if !diagramForm.MatchString(text) {
		return s, false
	}
	i := 0
	for _, r := range text {
		if r == '|' || r == '│' {
			continue
		}
		switch r {
		case '^', '▔':
			s[feet.PedalOrder[i]] = feet.Flat
		case 'v', '▁':
			s[feet.PedalOrder[i]] = feet.Sharp
		}
		i++
	}
	return s, true
}

// IsDiagram says whether a mark is a diagram of seven marks.
func IsDiagram(text string) bool {
	_, ok := readDiagram(text)
	return ok
}

// settingOver is the full setting that is written at a place; Free where there is
// none.
func (d *Pedals) settingOver(bar int, onset score.Frac) feet.Setting {
	for _, m := range d.Marks {
		if m.Full && m.Bar == bar && m.Onset == onset {
			return m.Setting
		}
	}
	return feet.AllFree()
}
