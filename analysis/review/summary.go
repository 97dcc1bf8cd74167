package review

import (
	"strings"

	"fourfold/analysis/rules"
)

// Summary is a row of the index.
type Summary struct {
	Title    string
	Parts    int
	Verdict  string // of the part that is worst off; "none" without a harp part
	Asked    tempo
	Holds    *tempo
	Load     float64 // asked ÷ holds of the tightest place, 0 where nothing limits
	Bar      int     // the hardest bar, 0 for none
	Hands    int     // findings at warning or above, by kind
	Strings  int
	Feet     int // or levers
	Notation int
	Hints    int // all others
	Moves    int // of pedals, or of levers
	Late     int // of these, late or without a free hand
	Stuck    int
}

// Work orders scores: what cannot be played first, then what asks too much.
func (s Summary) Work() float64 {
	w := 1000*float64(s.Stuck) + 30*float64(s.Hands+s.Strings+s.Feet) + 20*float64(s.Late) + 5*float64(s.Notation) + .1*float64(s.Hints)
	if s.Load > 1 {
		w += 100 * min(s.Load, 50)
	}
	return w
}

func (s *Sheet) summarise() Summary {
	sum := Summary{Title: s.Title, Parts: len(s.Sections), Verdict: "none"}
	order := map[string]int{"none": 0, "fits": 1, "slower": 2, "stuck": 3}
	for i, sec := range s.Sections {
		if order[sec.Lead.Verdict] > order[sum.Verdict] {
			sum.Verdict = sec.Lead.Verdict
		}
		if i == 0 || sec.Lead.Load > sum.Load {
			sum.Asked, sum.Holds, sum.Load, sum.Bar = sec.Lead.Asked, sec.Lead.Holds, sec.Lead.Load, sec.Lead.Bar
		}
		sum.Stuck += sec.stuck()
		moves, late := sec.footwork.moves()
		sum.Moves, sum.Late = sum.Moves+moves, sum.Late+late
	}
	for _, sec := range s.Sections {
		for _, pa := range sec.Passages {
			sum.count(pa.Findings)
		}
	}
	sum.count(s.Notation)
	return sum
}

// count adds findings by kind; what the harpist calls fine needs no work.
func (s *Summary) count(findings []FindingView) {
	for _, f := range findings {
		kind, _, _ := strings.Cut(f.Rule, "/")
		switch {
		case f.Fine || f.Source.Severity > rules.Warning:
			s.Hints++
		case kind == "hands":
			s.Hands++
		case kind == "strings":
			s.Strings++
		case kind == "feet" || kind == "levers":
			s.Feet++
		default:
			s.Notation++
		}
	}
}
