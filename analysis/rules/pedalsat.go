package rules

import (
	"cmp"
	"slices"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// showPedals fills in where the pedals stand for a card of a stretch: each letter as
// the last note played before it left it, else as the first after it needs it, else as
// the key has it. It looks no further through the tune than it must.
func (c *Card) showPedals(t *score.Tune, p *Part, bar int, now instant) {
	if !p.Settings.Instrument.Pedals {
		return
	}
	voices := voicesOf(t, p.Player)
	if len(voices) == 0 {
		return
	}
	s := formsFound{setting: feet.AllFree()}
	whole := func(instant) bool { return true }
	in := func(at instant) bool { return at.compare(now) <= 0 } // in the bar itself
	for n := range playedUpTo(voices[0], bar) {
		s.goBack(p.formsIn(voices, n, in))
		if in = whole; s.found == feet.Letters {
			break
		}
	}
	s.atBeginning()
	s.goOn(p.formsIn(voices, bar, func(at instant) bool { return at.compare(now) > 0 }))
	if s.found < feet.Letters {
		_, after := playedAround(voices[0], bar)
		for n := range forwards(after) {
			if s.goOn(p.formsIn(voices, n, whole)); s.found == feet.Letters {
				break
			}
		}
	}
	for l, pos := range (&Part{Player: Player{Upper: voices}}).keySetting() {
		if s.setting[l] == feet.Free {
			s.setting[l] = pos
		}
	}
	c.Pedals, c.Diagram = SettingWords(s.setting), Diagram(s.setting)
}

// instant is a place in a bar: that of a note, or of a grace note before it.
type instant struct {
	onset score.Frac
	grace int // 0 for a note, -1 for the last grace note before it, -2 for the one before
}

func (i instant) compare(o instant) int {
	return cmp.Or(i.onset.Cmp(o.onset), cmp.Compare(i.grace, o.grace))
}

// instantOf is where a pluck stands.
func instantOf(pl *hands.Pluck) instant {
	if pl.Grace {
		events := pl.Voice.Bar(pl.Bar).Events()
		for e := range events {
			graces := events[e].Graces
			for g := range graces {
				if &graces[g] == pl.Event {
					return instant{pl.Onset, g - len(graces)}
				}
			}
		}
	}
	return instant{onset: pl.Onset}
}

// formAt is what a note asks of a pedal, and when.
type formAt struct {
	instant
	letter int
	pos    feet.Pos
}

// formsIn are those of the notes of one bar that stand where they must, in order of time;
// at one instant those of the upper staff come first.
func (p *Part) formsIn(voices []*score.Voice, number int, in func(instant) bool) (out []formAt) {
	add := func(ev *score.Event, at instant) {
		if !in(at) {
			return
		}
		for n := range ev.Notes {
			note, i := &ev.Notes[n], p.Settings.Instrument
			if note.TieFrom || i.Fixed(note.String) || !i.Has(note.String) || !feet.Pos(note.Alter).Valid() {
				continue
			}
			out = append(out, formAt{at, letterOf(note), feet.Pos(note.Alter)})
		}
	}
	for _, v := range voices {
		b := v.Bar(number)
		if b == nil {
			continue
		}
		events := b.Events()
		for e := range events {
			ev := &events[e]
			if ev.Kind != score.Sound || !ev.Onset.Valid() {
				continue
			}
			for g := range ev.Graces {
				add(&ev.Graces[g], instant{ev.Onset, g - len(ev.Graces)})
			}
			add(ev, instant{onset: ev.Onset})
		}
	}
	slices.SortStableFunc(out, func(a, b formAt) int { return a.compare(b.instant) })
	return out
}

// formsFound is a setting of which more and more letters are known. Where one letter is
// asked for in two forms at once the pedal stays where it is, or goes where the first of
// them wants it (see feet.PlanOf); so such an instant must wait for what came before it.
type formsFound struct {
	setting feet.Setting
	found   int                        // how many letters are known
	clashes [feet.Letters][][]feet.Pos // that wait, the latest first
}

// goBack looks for the letters that are still free from the last of some notes to the first.
func (s *formsFound) goBack(forms []formAt) {
	for to := len(forms); to > 0; {
		from := to - 1
		for from > 0 && forms[from-1].compare(forms[from].instant) == 0 {
			from--
		}
		var asked [feet.Letters][]feet.Pos
		for _, f := range forms[from:to] {
			if s.setting[f.letter] == feet.Free && !slices.Contains(asked[f.letter], f.pos) {
				asked[f.letter] = append(asked[f.letter], f.pos)
			}
		}
		for l, positions := range asked {
			switch len(positions) {
			case 0:
			case 1:
				s.set(l, positions[0])
			default:
				s.clashes[l] = append(s.clashes[l], positions)
			}
		}
		to = from
	}
}

// set takes a letter's form on through the clashes after it.
func (s *formsFound) set(l int, pos feet.Pos) {
	for _, positions := range slices.Backward(s.clashes[l]) {
		if !slices.Contains(positions, pos) {
			pos = positions[0]
		}
	}
	s.setting[l] = pos
	s.found++
}

// atBeginning settles the clashes that nothing comes before.
func (s *formsFound) atBeginning() {
	for l, waiting := range s.clashes {
		if n := len(waiting); n > 0 && s.setting[l] == feet.Free {
			s.set(l, waiting[n-1][0])
		}
	}
}

// goOn looks for the letters that are still free from the first of some notes on.
func (s *formsFound) goOn(forms []formAt) {
	for _, f := range forms {
		if s.setting[f.letter] == feet.Free {
			s.set(f.letter, f.pos)
		}
	}
}

// voicesOf are a player's voices in the whole tune.
func voicesOf(t *score.Tune, player Player) (out []*score.Voice) {
	for _, v := range player.Voices() {
		for _, w := range t.Voices {
			if w.ID == v.ID {
				out = append(out, w)
			}
		}
	}
	return out
}

// Card describes the group that the note at a byte offset belongs to, of the tune of
// which these bars are; false where no note of a part stands there. Short says that
// more bars must be read to tell what follows the group.
func (n *Near) Card(t *score.Tune, offset int) (c Card, short, ok bool) {
	for _, p := range n.Parts {
		if c, ok := p.Card(offset); ok {
			c.showPedals(t, p, c.at.Bar, c.now)
			return c, c.last && n.To < t.Bars(), true
		}
	}
	return Card{}, false, false
}
