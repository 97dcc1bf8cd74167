package rules

import (
	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

// showPedals fills in where the pedals stand for a card of a stretch: each letter as
// the last note played before it left it, else as the first after it needs it, else as
// the key has it. It looks no further through the tune than it must.
func (c *Card) showPedals(t *score.Tune, p *Part, bar int, onset score.Frac) {
	if !p.Settings.Instrument.Pedals {
		return
	}
	voices := voicesOf(t, p.Player)
	s, open := feet.AllFree(), feet.Letters
	if len(voices) == 0 {
		return
	}
	whole := func(score.Frac) bool { return true }
	in := func(at score.Frac) bool { return !onset.Less(at) } // in the bar itself
	for n := range playedUpTo(voices[0], bar) {
		open -= p.fill(&s, voices, n, in, true)
		if in = whole; open <= 0 {
			break
		}
	}
	open -= p.fill(&s, voices, bar, onset.Less, false)
	if open > 0 {
		_, after := playedAround(voices[0], bar)
		for n := range forwards(after) {
			if open -= p.fill(&s, voices, n, whole, false); open <= 0 {
				break
			}
		}
	}
	for l, pos := range (&Part{Player: Player{Upper: voices}}).keySetting() {
		if s[l] == feet.Free {
			s[l] = pos
		}
	}
	c.Pedals, c.Diagram = SettingWords(s), Diagram(s)
}

// fill sets the letters that are still free by the notes of one bar that stand where
// they must, the last or the first of each letter. It gives how many it has set.
func (p *Part) fill(s *feet.Setting, voices []*score.Voice, number int, in func(score.Frac) bool, last bool) (set int) {
	var at [feet.Letters]score.Frac
	was := *s
	for _, v := range voices {
		b := v.Bar(number)
		if b == nil {
			continue
		}
		events := b.Events()
		for e := range events {
			ev := &events[e]
			if ev.Kind != score.Sound || !ev.Onset.Valid() || !in(ev.Onset) {
				continue
			}
			for n := range ev.Notes {
				note := &ev.Notes[n]
				l, i := letterOf(note), p.Settings.Instrument
				if note.TieFrom || was[l] != feet.Free || i.Fixed(note.String) || !i.Has(note.String) || !feet.Pos(note.Alter).Valid() {
					continue
				}
				if s[l] != feet.Free && ev.Onset.Less(at[l]) == last {
					continue
				}
				if s[l] == feet.Free {
					set++
				}
				s[l], at[l] = feet.Pos(note.Alter), ev.Onset
			}
		}
	}
	return set
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
			c.showPedals(t, p, c.at.Bar, c.at.Onset)
			return c, c.last && n.To < t.Bars(), true
		}
	}
	return Card{}, false, false
}
