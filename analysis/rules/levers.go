package rules

import (
	"fmt"
	"math"
	"sort"

	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

const (
	leverTuningName = "levers/tuning"
	leverNoHandName = "levers/no-hand"
)

// LeverTuning finds notes that a lever harp's tuning does not give.
var LeverTuning = Rule{
	Name:  leverTuningName,
	Title: "the lever harp's tuning does not reach this note",
	Doc: `A lever raises one string by one semitone. Tuned in E flat major, a lever harp has E, A and B flat or
natural, and C, D, F and G natural or sharp: no D flat, no A sharp. A key that has such a note is said once.

Fails: _D. Passes: ^C, which sounds the same.

What to do: write the note on the neighbouring string, or choose a key that the tuning reaches.

Where the facts come from: tuning in E flat (an examination board's harp syllabus; read); a semitone a lever
(primers on lever harps; read).`,
	Whole: checkLeverTuning,
}

// LeverNoHand finds levers that no hand is free to move.
var LeverNoHand = Rule{
	Name:  leverNoHandName,
	Title: "no hand is free to move the lever",
	Doc: `Each string of a lever harp has its own lever, and a hand has to leave the strings to move it. That takes
about a third of a second between the last note that needs the lever as it is and the first that needs it moved.

Fails: both hands in quavers at ♩ = 120 around F and ^F. Passes: a beat of rest in one hand.

What to do: give one hand a rest, write the note in another octave whose lever is set before the piece, or leave
it out.

Where the facts come from: a lever needs a free hand and moves one string (primers on lever harps; read); the
time is common practice, no source.`,
	Whole: checkLeverNoHand,
}

// Levers is what the hands do at the levers of a part. Times are seconds.
type Levers struct {
	feet.LeverPlan
	from []pluckAt
}

// Note is the note behind a demand of the plan.
func (l *Levers) Note(demand int) pluckAt { return l.from[demand] }

// Levers plans the levers; nil for a harp without.
func (p *Part) Levers() *Levers {
	if !p.Settings.Instrument.Levers {
		return nil
	}
	out := &Levers{}
	p.eachPluck(func(pl pluckAt) {
		if p.Settings.Instrument.Has(pl.Note.String) {
			out.from = append(out.from, pl)
		}
	})
	for _, f := range p.beyond {
		out.from = append(out.from, f.pluck)
	}
	sort.SliceStable(out.from, func(i, j int) bool { return out.from[i].t < out.from[j].t })
	var demands []feet.LeverDemand
	for _, pl := range out.from {
		demands = append(demands, feet.LeverDemand{T: pl.t, String: pl.Note.String, Alter: pl.Note.Alter})
	}
	start := 0.0
	if len(demands) > 0 {
		start = demands[0].T
	}
	free := [2][]feet.Span{gapsOf(p.Left), gapsOf(p.Right)}
	out.LeverPlan = feet.Levers(demands, feet.LeverOptionsOf(p.Settings.Instrument, start, free))
	return out
}

// gapsOf are the times between the strokes of a hand; a hand without a staff is
// free throughout.
func gapsOf(h *Hand) (out []feet.Span) {
	from := math.Inf(-1)
	if h != nil {
		for _, s := range h.Strokes {
			out = append(out, feet.Span{From: from, To: s.T})
			from = s.T
		}
	}
	return append(out, feet.Span{From: from, To: math.Inf(1)})
}

func checkLeverTuning(p *Part) (out []Finding) {
	levers := p.Levers()
	if levers == nil {
		return nil
	}
	said := map[string]bool{} // keys
	if p.around != nil {
		for _, key := range p.around.unreached {
			said[key] = true
		}
	}
	for _, i := range levers.Unreachable {
		at := levers.from[i]
		if key := keyOf(at); int(key.Sign[letterOf(at.Note)]) == at.Note.Alter {
			if !said[key.Text] {
				said[key.Text] = true
				out = append(out, p.keyFinding(at, key))
			}
			continue
		}
		out = append(out, p.unreachable(at))
	}
	for _, c := range levers.Clashes {
		a, b := levers.from[c[0]], levers.from[c[1]]
		f := p.finding(leverTuningName, *b.Pluck)
		f.Message = fmt.Sprintf("`%s` (%s) and `%s` (%s) are one string, which cannot have its lever up and down at once.",
			p.Typed(*a.Pluck), p.pitch(*a.Pluck), p.Typed(*b.Pluck), p.pitch(*b.Pluck))
		f.Advice = "Write one of them on the neighbouring string."
		f.Related = []Related{{Span: a.Span, Message: "the other form"}}
		out = append(out, f)
	}
	return out
}

// unreachable is the finding on one note that the tuning does not give.
func (p *Part) unreachable(at pluckAt) Finding {
	l := letterOf(at.Note)
	open := int(p.Settings.Instrument.Open[l])
	f := p.finding(leverTuningName, *at.Pluck)
	f.Message = fmt.Sprintf("`%s` (%s): the lever gives this string as %s and %s only.", p.Typed(*at.Pluck), p.pitch(*at.Pluck),
		LetterName(l, open), LetterName(l, open+1))
	f.Advice = "Write it on the neighbouring string, or choose a key that the tuning reaches."
	return f
}

// keyFinding says once of a key that the tuning does not reach it.
func (p *Part) keyFinding(at pluckAt, key score.Key) Finding {
	open := p.Settings.Instrument.Open
	var missing []string
	for l, sign := range key.Sign {
		if up := int(sign) - int(open[l]); up < 0 || up > 1 {
			missing = append(missing, LetterName(l, int(sign)))
		}
	}
	f := p.finding(leverTuningName, *at.Pluck)
	f.Message = fmt.Sprintf("The key here has %s, which the levers do not reach: from this tuning they give %s.", list(missing), p.reachableKeys())
	f.Advice = "Choose one of these keys, or tune the harp otherwise: `tuning` is a setting."
	return f
}

// keyOf is the key in force where a note stands.
func keyOf(at pluckAt) score.Key { return at.Voice.Bar(at.Bar).Key }

// reachableKeys names the major keys whose signature the levers give, from flats to
// sharps.
func (p *Part) reachableKeys() string {
	names := [...]string{"C♭", "G♭", "D♭", "A♭", "E♭", "B♭", "F", "C", "G", "D", "A", "E", "B", "F♯", "C♯"}
	order := [...]int{3, 0, 4, 1, 5, 2, 6} // in which letters are raised: F C G D A E B
	sign := [7]int{-1, -1, -1, -1, -1, -1, -1}
	var keys []string
	for i, name := range names {
		reached := true
		for l, open := range p.Settings.Instrument.Open {
			up := sign[l] - int(open)
			reached = reached && up >= 0 && up <= 1
		}
		if reached {
			keys = append(keys, name)
		}
		sign[order[i%7]]++
	}
	if len(keys) == 0 {
		return "no major key whole"
	}
	return list(keys) + " major"
}

func checkLeverNoHand(p *Part) (out []Finding) {
	levers := p.Levers()
	if levers == nil {
		return nil
	}
	for _, m := range levers.Moves {
		if m.Free {
			continue
		}
		at := levers.from[m.Demand]
		f := p.finding(leverNoHandName, *at.Pluck)
		f.Severity = p.speedSeverity(f.Severity)
		f.Message = fmt.Sprintf("For `%s` (%s) the lever of %s must be moved within %s, and no hand is free for the %s that it takes.",
			p.Typed(*at.Pluck), p.pitch(*at.Pluck), PitchWords(m.String, 0), seconds(m.Deadline-m.Release), seconds(feet.LeverTime))
		f.Advice = "Give one hand a rest, or write the note in another octave."
		out = append(out, f)
	}
	return out
}
