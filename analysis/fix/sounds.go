package fix

import (
	"sort"

	"fourfold/parser/score"
)

// place is where a string is struck, whatever layer or chord it is written in.
type place struct {
	voice, bar int
	onset      score.Frac
	grace      int // 0, or which grace note before the onset, from 1
	str        int
}

// sounds lists how each string struck is altered. Two notes on one string at one
// place are two entries of one list, which is sorted.
type sounds map[place][]int

func (s *site) placeOf(t *score.Tune, at noteAt) place {
	ev := &t.Voices[at.voice].Bars()[at.bar].Events()[at.event]
	return place{at.voice, at.bar, ev.Onset, 0, ev.Notes[at.note].String}
}

// soundsOf reads a tune.
func soundsOf(t *score.Tune) sounds {
	all := sounds{}
	for v, voice := range t.Voices {
		for b := range voice.Bars() {
			for e := range voice.Bars()[b].Events() {
				ev := &voice.Bars()[b].Events()[e]
				for n := range ev.Notes {
					all.add(place{v, b, ev.Onset, 0, ev.Notes[n].String}, ev.Notes[n].Alter)
				}
				for g := range ev.Graces {
					for n := range ev.Graces[g].Notes {
						all.add(place{v, b, ev.Onset, g + 1, ev.Graces[g].Notes[n].String}, ev.Graces[g].Notes[n].Alter)
					}
				}
			}
		}
	}
	return all
}

func (s sounds) add(p place, alter int) {
	s[p] = append(s[p], alter)
	sort.Ints(s[p])
}

func (s sounds) remove(p place, alter int) {
	list := s[p]
	for i, a := range list {
		if a == alter {
			if len(list) == 1 {
				delete(s, p)
				return
			}
			s[p] = append(append([]int{}, list[:i]...), list[i+1:]...)
			return
		}
	}
}

// expected is what the tune sounds like after a change; receiver is the voice
// that notes are given to.
func (s *site) expected(c change, receiver int) sounds {
	all := soundsOf(s.tune)
	for at := range c.pitch {
		all.remove(s.placeOf(s.tune, at), s.note(at).Alter)
	}
	for at, p := range c.pitch {
		is := s.placeOf(s.tune, at)
		is.str = p.str
		all.add(is, p.alter)
	}
	for at := range c.drop {
		all.remove(s.placeOf(s.tune, at), s.note(at).Alter)
	}
	for at := range c.give {
		p := s.placeOf(s.tune, at)
		all.remove(p, s.note(at).Alter)
		p.voice = receiver
		all.add(p, s.note(at).Alter)
	}
	for at, join := range c.graces {
		s.withoutGraces(all, at, join)
	}
	return all
}

// withoutGraces takes the grace notes of an event away, or joins them to it.
func (s *site) withoutGraces(all sounds, at noteAt, join bool) {
	ev := s.event(at)
	for g := range ev.Graces {
		for n := range ev.Graces[g].Notes {
			note := &ev.Graces[g].Notes[n]
			all.remove(place{at.voice, at.bar, ev.Onset, g + 1, note.String}, note.Alter)
			if join {
				all.add(place{at.voice, at.bar, ev.Onset, 0, note.String}, note.Alter)
			}
		}
	}
}

// differing lists the places that sound wrong; false where other strings are
// struck than expected.
func differing(expect, got sounds) (wrong []place, ok bool) {
	if len(expect) != len(got) {
		return nil, false
	}
	for p, want := range expect {
		have, ok := got[p]
		if !ok || len(have) != len(want) {
			return nil, false
		}
		for i := range want {
			if want[i] != have[i] {
				wrong = append(wrong, p)
				break
			}
		}
	}
	return wrong, true
}
