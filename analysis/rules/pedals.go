package rules

import (
	"fmt"
	"math"
	"slices"

	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

// Pedals is what the feet do in a part. Times are seconds, as the page goes; what
// a repeat asks for besides stands in Seams.
type Pedals struct {
	Plan      *feet.Plan
	Demands   []feet.Demand // in order of time
	Glissandi []Glissando
	Seams     []PedalSeam
	Marks     []PedalMark // what the engraver wrote
	Cheaper   []Respelling
	from      []pluckAt          // the note behind each demand
	across    []int              // bars from which a way leads further than the section sees
	last      int                // the last bar that is read; what follows it is the next use of each letter
	trusted   [feet.Letters]bool // letters that a pedal mark names between that bar and the next use
}

// Note is the note behind a demand.
func (d *Pedals) Note(demand int) pluckAt { return d.from[demand] }

// Place says where in the score a demand's note stands: bar from 1, and where in
// it, in whole notes.
func (d *Pedals) Place(demand int) (bar int, onset score.Frac) {
	return d.from[demand].Bar, d.from[demand].Onset
}

// findPedals plans the feet.
func (p *Part) findPedals() *Pedals {
	if !p.Settings.Instrument.Pedals {
		return nil
	}
	out := p.demands()
	start := math.Inf(-1)
	if len(out.Demands) > 0 {
		start = out.Demands[0].T
	}
	options := feet.PlanOptions{Start: start, Initial: feet.AllFree(), Unasked: p.keySetting()}
	if p.section != nil {
		out.Plan = feet.PlanOf(out.Demands, options)
	} else {
		at := slot{tune: p.Tune.Number + " " + p.Tune.Title, player: p.Player.Name}
		out.Plan = p.Settings.memory.plan(at, out.Demands, options)
	}
	out.Seams = p.pedalSeams(out)
	if !p.spelt {
		out.Cheaper = p.cheaperSpellings(out)
	}
	return out
}

// demands reads what the notes ask of the pedals. Notes that no pedal can give (double
// sharps and flats, strings without discs) ask nothing of them.
func (p *Part) demands() *Pedals {
	out := &Pedals{Marks: p.readPedalMarks(), last: p.Tune.Bars()}
	if p.parted != nil {
		out.last = p.section.To
	}
	out.from = slices.DeleteFunc(p.inOrder(sooner), func(pl pluckAt) bool { return !p.moves(pl) || !feet.Pos(pl.Note.Alter).Valid() })
	out.Demands = make([]feet.Demand, 0, len(out.from))
	for _, pl := range out.from {
		out.Demands = append(out.Demands, feet.Demand{T: pl.t, Letter: feet.Letter(letterOf(pl.Note)), Pos: feet.Pos(pl.Note.Alter),
			Rings: p.Settings.Instrument.Ring(pl.Note.String)})
	}
	p.addBeyond(out)
	p.holdGlissandi(out)
	return out
}

// keySetting is where the key at the tune's start sets the pedals.
func (p *Part) keySetting() (s feet.Setting) {
	v := p.page()
	if v == nil || v.Len() == 0 {
		return s
	}
	return settingOfKey(v.Bars()[0].Key)
}

// settingOfKey is where a key sets the pedals.
func settingOfKey(key score.Key) (s feet.Setting) {
	for l, sign := range key.Sign {
		if pos := feet.Pos(sign); pos.Valid() {
			s[l] = pos
		}
	}
	return s
}

// keyAt is the key in force at a bar of a voice, and the number of the first bar from
// which it is.
func keyAt(v *score.Voice, number int) (key score.Key, since int) {
	bar := v.Bar(number)
	if bar == nil {
		return score.Key{}, number
	}
	for since = number; v.Bar(since-1) != nil && v.Bar(since-1).Key.Sign == bar.Key.Sign; {
		since--
	}
	return bar.Key, since
}

// SettingWords writes a setting as the trade does, left foot first: D C B | E F G
// A with the signs of music.
func SettingWords(s feet.Setting) string {
	words := ""
	for i, l := range feet.PedalOrder {
		if i == 3 {
			words += "| "
		}
		words += LetterName(int(l), int(s[l])) + " "
	}
	return words[:len(words)-1]
}

// Diagram draws a setting as the usual seven marks: up is flat, the middle
// natural, down sharp; the bar divides the feet. Source: Sibelius Academy's
// pages on pedal diagrams.
func Diagram(s feet.Setting) string {
	marks := map[feet.Pos]string{feet.Flat: "▔", feet.Natural: "─", feet.Sharp: "▁"}
	out := ""
	for i, l := range feet.PedalOrder {
		if i == 3 {
			out += "│"
		}
		out += marks[s[l]]
	}
	return out
}

// moveWords name a move: "D♯ (from D♮)".
func moveWords(m feet.Move) string {
	return fmt.Sprintf("%s (from %s)", LetterName(int(m.Letter), int(m.To)), LetterName(int(m.Letter), int(m.From)))
}

// pedalFinding starts a finding on the note that a move is for, and points to the
// note that still needs the old position.
func (p *Part) pedalFinding(rule string, m feet.Move) Finding {
	to := p.Pedals.Note(m.Demand)
	f := p.finding(rule, *to.Pluck)
	f.Severity = p.speedSeverity(f.Severity)
	if from, ok := p.Pedals.lastUse(m); ok {
		f.Related = append(f.Related, Related{Span: from.Span, Message: fmt.Sprintf("needs %s until here", LetterName(int(m.Letter), int(m.From)))})
	}
	return f
}

// needWords name what a move is for: a note, or a glissando that does not write the
// letter out.
func (p *Part) needWords(pl pluckAt, l feet.Letter) string {
	words := fmt.Sprintf("`%s` (%s)", p.Typed(*pl.Pluck), p.pitch(*pl.Pluck))
	if feet.Letter(letterOf(pl.Note)) != l {
		return "the glissando from " + words
	}
	return words
}

// lastUse is the last note before a move that needs the pedal where it was.
func (d *Pedals) lastUse(m feet.Move) (pluckAt, bool) {
	for i := m.Demand - 1; i >= 0; i-- {
		if d.Demands[i].Letter == m.Letter && d.Demands[i].Pos == m.From {
			return d.from[i], true
		}
	}
	return pluckAt{}, false
}

// pedalSpeed is how a late move depends on the tempo at the note that needs it; nil
// where no tempo helps.
func (p *Part) pedalSpeed(m feet.Move, at pluckAt) *Speed {
	if math.IsInf(m.Stretch, 0) || m.Stretch <= 1 {
		return nil
	}
	tempo := p.Timeline.QuartersAt(at.Bar, at.Onset)
	return &Speed{Load: m.Stretch, Tempo: tempo, HoldsUpTo: tempo / m.Stretch, ComfortableUpTo: p.Settings.Hand.Comfortable * tempo / m.Stretch}
}

// fixedStrings are those without discs that a part uses, with the first note on each.
func (p *Part) fixedStrings() map[int][]pluckAt {
	out := map[int][]pluckAt{}
	for _, pl := range p.tunedBefore() {
		out[pl.Note.String] = append(out[pl.Note.String], pl)
	}
	p.eachPluck(func(pl pluckAt) {
		if p.Settings.Instrument.Fixed(pl.Note.String) {
			out[pl.Note.String] = append(out[pl.Note.String], pl)
		}
	})
	return out
}
