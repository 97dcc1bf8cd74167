package review

import (
	"strings"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// numbered is a finding with the number that it bears in its passage, in the
// text and in the picture.
type numbered struct {
	rules.Finding
	n int
}

// located is where a finding stands among the strokes of a part.
type located struct {
	numbered
	side     int // 0 right, 1 left, −1 where no hand is meant
	from, to float64
	notes    map[*score.Note]bool // those at fault
	first    hands.Pluck
}

// locate finds the notes at fault: the strokes that a finding of a hand names,
// or the notes that its spans cover.
func locate(p *rules.Part, f numbered) (located, bool) {
	l := located{numbered: f, side: -1, notes: map[*score.Note]bool{}}
	for side, h := range [2]*rules.Hand{p.Right, p.Left} {
		if h == nil {
			continue
		}
		if f.Hand == h.Name && f.From >= 0 && f.From <= f.To && f.To < len(h.Strokes) {
			l.side = side
			for i := f.From; i <= f.To; i++ {
				for _, pl := range h.Plucks[i] {
					l.take(pl, h.Strokes[i].T)
				}
			}
			return l, len(l.notes) > 0
		}
	}
	eachPluck(p, func(side int, pl hands.Pluck, t float64) {
		if l.spans(pl.Span) {
			l.take(pl, t)
		}
	})
	return l, len(l.notes) > 0
}

func (l *located) take(pl hands.Pluck, t float64) {
	if len(l.notes) == 0 {
		l.first, l.from, l.to = pl, t, t
	}
	l.from, l.to = min(l.from, t), max(l.to, t)
	l.notes[pl.Note] = true
}

func (l *located) spans(s score.Span) bool {
	meets := func(o score.Span) bool { return s.Start < o.End && o.Start < s.End }
	if meets(l.Span) {
		return true
	}
	for _, r := range l.Related {
		if meets(r.Span) {
			return true
		}
	}
	return false
}

// eachPluck visits what both hands play, doubled notes and those inside a
// glissando too.
func eachPluck(p *rules.Part, visit func(side int, pl hands.Pluck, t float64)) {
	for side, h := range p.Played {
		if h == nil {
			continue
		}
		for i, plucks := range h.Plucks {
			for _, pl := range plucks {
				visit(side, pl, h.Strokes[i].T)
			}
		}
		for _, d := range h.Doubled {
			visit(side, d.Pluck, h.Strokes[d.Stroke].T)
		}
	}
	eachSwept(p, func(side int, n hands.Swept) { visit(side, n.Pluck, n.T) })
}

// shortNames are what a finding is called inside a picture.
var shortNames = map[string]string{
	"hands/turn":           "turns back",
	"hands/new-placing":    "no time to set",
	"hands/restrike":       "again too soon",
	"hands/shared-string":  "both hands on a string",
	"hands/too-many":       "too many strings",
	"hands/reach":          "out of reach",
	"hands/stretch":        "wide",
	"hands/tight":          "tight",
	"hands/trill":          "trill in one hand",
	"hands/tremolo":        "tremolo too fast",
	"hands/harmonic":       "not as a harmonic",
	"hands/bisbigliando":   "soft by nature",
	"hands/muffled":        "no time to muffle",
	"hands/little-finger":  "the little finger",
	"hands/buzz":           "may buzz",
	"hands/damps":          "stops its sound",
	"hands/tiring":         "no rest",
	"hands/low":            "low for this hand",
	"strings/out-of-range": "no such string",
	"feet/two-at-once":     "one pedal, two places",
	"feet/no-position":     "no notch for it",
	"strings/undisced":     "string cannot change",
	"feet/late":            "pedal late",
	"feet/same-foot":       "two pedals, one foot",
	"feet/crowded":         "feet busy",
	"feet/while-ringing":   "slide heard",
	"feet/mark-wrong":      "mark and notes differ",
	"feet/mark-missing":    "setting not marked",
	"levers/tuning":        "not in the tuning",
	"levers/no-hand":       "no hand for the lever",
}

func shortName(rule string) string {
	if s, ok := shortNames[rule]; ok {
		return s
	}
	_, name, _ := strings.Cut(rule, "/")
	return strings.ReplaceAll(name, "-", " ")
}
