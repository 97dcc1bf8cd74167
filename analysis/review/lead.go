package review

import (
	"cmp"
	"fmt"
	"html/template"
	"math"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Lead is what a section says first.
type Lead struct {
	Verdict  string // "fits", "slower", "stuck"
	Headline string
	Text     template.HTML
	Facts    []Fact
	Asked    tempo
	Holds    *tempo // nil where nothing limits the tempo
	Comfort  *tempo
	Load     float64 // of the tightest place: Asked ÷ Holds
	Bar      int     // where that is, 0 for nowhere
}

// Fact is one figure at the top of a section.
type Fact struct{ Name, Value, Note string }

// limit is what bounds the tempo of a section: the tightest place of the hands
// as they share the notes, of a finding about speed that says it is too much, or
// of the feet.
type limit struct {
	load    float64
	bar     int
	onset   score.Frac
	who     string
	noTempo bool // the feet are late at any tempo
}

func limitOf(p *rules.Part, f footwork, worst rules.Tightest, found []located) limit {
	var l limit
	if worst.Load > 0 {
		l = limit{load: worst.Load, bar: worst.Pluck.Bar, onset: worst.Pluck.Onset, who: p.Played[worst.Side].Name}
	}
	if x, ok := fastest(found); ok && x.Speed.Load > l.load {
		l = limit{load: x.Speed.Load, bar: x.first.Bar, onset: x.first.Onset, who: x.Hand}
	}
	if stretch := f.stretch(); (stretch > l.load || stretch == l.load && l.who == "") && stretch > 1+1e-9 {
		m := f.tightest()
		pl := f.place(m)
		if math.IsInf(stretch, 1) {
			l.noTempo = true
			return l
		}
		l = limit{load: stretch, bar: pl.Bar, onset: pl.Onset, who: m.Foot.String() + " foot"}
	}
	return l
}

// fastest is the finding about speed that says most clearly that it is too much:
// of several the first in the music, the right hand's before the left's.
func fastest(found []located) (worst located, ok bool) {
	for _, x := range found {
		if x.Speed == nil || x.Severity > rules.Warning {
			continue
		}
		if !ok || cmp.Or(cmp.Compare(x.Speed.Load, worst.Speed.Load), cmp.Compare(worst.first.Bar, x.first.Bar),
			worst.first.Onset.Cmp(x.first.Onset), cmp.Compare(x.Hand, worst.Hand)) > 0 {
			worst, ok = x, true
		}
	}
	return worst, ok
}

// limit is what bounds the tempo of the section.
func (sec *Section) limit() limit {
	var found []located
	for _, pa := range sec.Passages {
		found = append(found, pa.located...)
	}
	return limitOf(sec.part, sec.footwork, sec.worst, found)
}

// tightest is the late move of the knot that stretches most.
func (f footwork) tightest() (worst feet.Move) {
	for _, m := range f.late() {
		if worst.Stretch < m.Stretch {
			worst = m
		}
	}
	return worst
}

func leadOf(sec *Section) Lead {
	l := sec.limit()
	bar := max(1, l.bar)
	q, beat := tempoAt(sec.part, bar, orStart(l.onset))
	lead := Lead{Asked: tempoOf(q, beat), Load: l.load, Bar: l.bar}
	if l.load > 0 {
		holds, comfort := tempoOf(q/l.load, beat), tempoOf(sec.part.Settings.Hand.Comfortable*q/l.load, beat)
		lead.Holds, lead.Comfort = &holds, &comfort
	}
	stuck := sec.stuck()
	lead.judge(sec, l, stuck)
	lead.facts(sec)
	var w prose
	lead.sayFit(&w, sec, l)
	sec.sayPlaces(&w)
	sec.sayFeet(&w)
	lead.Text = w.html()
	return lead
}

func orStart(f score.Frac) score.Frac {
	if f.Valid() {
		return f
	}
	return score.Zero
}

// stuck counts what cannot be played at any tempo, but for what the harpist calls
// fine.
func (sec *Section) stuck() (n int) {
	for _, pa := range sec.Passages {
		for _, f := range pa.Findings {
			if f.Source.Severity == rules.Error && !f.Fine {
				n++
			}
		}
	}
	return n
}

// judge chooses the verdict and the headline.
func (lead *Lead) judge(sec *Section, l limit, stuck int) {
	assumed := ""
	if sec.part.Timeline.Assumed() {
		assumed = " (no tempo is given; this one is assumed)"
	}
	switch {
	case stuck > 0 && l.load > 1+1e-9:
		lead.Verdict = "stuck"
		lead.Headline = fmt.Sprintf("%s cannot be played at any tempo; the rest holds up to %s, not at %s.", upper(rules.Count(stuck, "thing")), lead.Holds.Words, lead.Asked.Words)
	case stuck > 0:
		lead.Verdict = "stuck"
		lead.Headline = fmt.Sprintf("It fits at %s but for %s that cannot be played at any tempo.", lead.Asked.Words, rules.Count(stuck, "thing"))
	case l.load > 1+1e-9:
		lead.Verdict = "slower"
		lead.Headline = fmt.Sprintf("%s is too fast for it: it holds up to %s.", lead.Asked.Words, lead.Holds.Words)
	case l.noTempo || sec.warnings() > 0:
		lead.Verdict = "slower"
		lead.Headline = fmt.Sprintf("It nearly fits at %s: %s to look at.", lead.Asked.Words, rules.Count(max(1, sec.warnings()), "place"))
	default:
		lead.Verdict = "fits"
		lead.Headline = fmt.Sprintf("It fits at %s.", lead.Asked.Words)
		if lead.Holds != nil {
			lead.Headline = fmt.Sprintf("It fits at %s, and holds up to %s.", lead.Asked.Words, lead.Holds.Words)
		}
	}
	lead.Headline += assumed
}

func (sec *Section) warnings() (n int) {
	for _, pa := range sec.Passages {
		for _, f := range pa.Findings {
			if f.Source.Severity <= rules.Warning && !f.Fine {
				n++
			}
		}
	}
	return n
}

func (lead *Lead) facts(sec *Section) {
	note := "as the score says"
	if sec.part.Timeline.Assumed() {
		note = "assumed: the score gives none"
	} else if sec.part.Settings.Tempo > 0 {
		note = "chosen for this review"
	}
	lead.Facts = append(lead.Facts, Fact{"Asked", lead.Asked.Words, note})
	if lead.Holds != nil {
		where := ""
		if lead.Bar > 0 {
			where = fmt.Sprintf("at most; bar %d is the limit", lead.Bar)
		}
		lead.Facts = append(lead.Facts, Fact{"Comfortable", lead.Comfort.Words, "up to this, all through"}, Fact{"Holds up to", lead.Holds.Words, where})
	} else {
		lead.Facts = append(lead.Facts, Fact{"Holds up to", "any tempo", "nothing here is short of time"})
	}
	places, hints := sec.counts()
	lead.Facts = append(lead.Facts, Fact{"To change", rules.Count(places, "place"), "and " + rules.Count(hints, "hint")})
	switch moves, late := sec.footwork.moves(); {
	case sec.footwork.plan != nil:
		lead.Facts = append(lead.Facts, Fact{"Pedal moves", fmt.Sprint(moves), fmt.Sprintf("%d of them late", late)})
	case sec.footwork.levers != nil:
		lead.Facts = append(lead.Facts, Fact{"Lever moves", fmt.Sprint(moves), fmt.Sprintf("%d without a free hand", late)})
	}
}

// counts are the findings that call for a change, without those that the harpist
// calls fine, and the rest.
func (sec *Section) counts() (places, hints int) {
	for _, pa := range sec.Passages {
		for _, f := range pa.Findings {
			if f.Source.Severity <= rules.Warning && !f.Fine {
				places++
			} else {
				hints++
			}
		}
	}
	return places, hints
}

// sayFit says whether it fits and up to which tempo.
func (lead *Lead) sayFit(w *prose, sec *Section, l limit) {
	switch {
	case lead.Holds == nil:
		w.say("Nothing in it is quick enough to press the hands; no tempo in reach is too fast. ")
	default:
		w.say("Asked is ")
		w.strong(lead.Asked.Words)
		w.say(". It lies comfortably up to ")
		w.strong(lead.Comfort.Words)
		w.say(" and holds up to ")
		w.strong(lead.Holds.Words)
		w.say(fmt.Sprintf(" at the very most; the tightest place is in bar %d, in the %s. ", l.bar, l.who))
		if sec.part.Played != written(sec.part) {
			w.say("Where one staff asks too much of one hand, the hands share its notes if that helps. ")
		}
	}
	if l.noTempo {
		w.say("One pedal change is late at any tempo. ")
	}
}

// mostLinks is how many places the first paragraph names.
const mostLinks = 16

// sayPlaces says where it does not fit.
func (sec *Section) sayPlaces(w *prose) {
	var places []*Passage
	fine := 0
	for _, pa := range sec.Passages {
		if pa.needsWork() {
			places = append(places, pa)
		}
		for _, f := range pa.Findings {
			if f.Fine {
				fine++
			}
		}
	}
	switch {
	case len(places) == 0 && len(sec.Passages) == 0:
		w.say("Nothing asks for a change. ")
	case len(places) == 0:
		w.say("Nothing has to change; the hints below say what could be easier. ")
	default:
		w.say("It does not fit in ")
		for i, pa := range places[:min(len(places), mostLinks)] {
			if i > 0 {
				w.say(map[bool]string{true: " and ", false: ", "}[i == len(places)-1])
			}
			w.link(pa.ID, barsWords(pa.From, pa.To))
		}
		if more := len(places) - mostLinks; more > 0 {
			w.say(" and " + rules.Count(more, "more place"))
		}
		w.say(". ")
	}
	if fine > 0 {
		w.say(fmt.Sprintf("The harpist calls %s fine. ", rules.Count(fine, "finding")))
	}
}

// needsWork says that a passage has a finding at warning or above that the
// harpist does not call fine.
func (p *Passage) needsWork() bool {
	for _, f := range p.Findings {
		if f.Source.Severity <= rules.Warning && !f.Fine {
			return true
		}
	}
	return false
}

// sayFeet says what the piece asks of the feet.
func (sec *Section) sayFeet(w *prose) {
	plan := sec.footwork.plan
	switch {
	case sec.footwork.levers != nil:
		sec.sayLevers(w)
		return
	case plan == nil:
		return
	case len(plan.Moves) == 0:
		w.say("The feet rest: one setting serves the whole piece, ")
		w.strong(rules.SettingWords(plan.Initial))
		w.say(".")
		return
	}
	w.say("The feet start from ")
	w.strong(rules.SettingWords(plan.Initial))
	w.say(fmt.Sprintf(" and make %s, %d with the left foot and %d with the right. ", rules.Count(len(plan.Moves), "move"), plan.Feet[feet.Left].Moves, plan.Feet[feet.Right].Moves))
	late := sec.footwork.late()
	if len(late) == 0 {
		w.say("All are in time.")
		return
	}
	hurried := 0
	for _, m := range late {
		if m.Hurried {
			hurried++
		}
	}
	first := sec.footwork.place(late[0])
	w.say(fmt.Sprintf("%s too late, the first in bar %d", upper(isAre(len(late), "move")), first.Bar))
	if hurried > 0 {
		w.say(fmt.Sprintf("; %d of them can be made in a hurry", hurried))
	}
	w.say(".")
}

func isAre(n int, thing string) string {
	if n == 1 {
		return "1 " + thing + " comes"
	}
	return fmt.Sprintf("%d %ss come", n, thing)
}
