package fix

import (
	"fmt"
	"slices"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// respell writes notes on the neighbouring string that sounds the same: one note,
// the same pitch throughout its bar, or throughout the bars around it. A harmonic is
// touched on the string that is written, and stays if there is a pedal for it.
func respell(s *site) (out []candidate) {
	notes := slices.DeleteFunc(s.marked(), func(at noteAt) bool {
		alter := s.note(at).Alter
		return rules.IsHarmonic(s.event(at), s.note(at)) && -1 <= alter && alter <= 1
	})
	if len(notes) > mostSingles {
		notes = notes[:mostSingles]
	}
	for _, at := range notes {
		for _, to := range enharmonics(pitchOf(s.note(at))) {
			was, is := signed(pitchOf(s.note(at))), signed(to)
			one := change{pitch: map[noteAt]pitch{at: to}}
			out = append(out, candidate{title: fmt.Sprintf("Write %s as %s (same sound)", was, is), change: one, promise: sameSound, respells: true})
			for _, reach := range []struct {
				more  int
				words string
			}{{0, "throughout the bar"}, {1, "throughout the passage"}} {
				c := s.everywhere(at, to, s.finding.Bar-1-reach.more, s.finding.EndBar-1+reach.more)
				if c.touched() > 1 {
					out = append(out, candidate{title: fmt.Sprintf("Write %s as %s %s (same sound)", was, is, reach.words), change: c, promise: sameSound, respells: true})
				}
			}
		}
	}
	if all := s.allAtOnce(notes); all.touched() > 1 {
		out = append(out, candidate{title: fmt.Sprintf("Respell %d notes on their neighbouring strings (same sound)", all.touched()), change: all, promise: sameSound, respells: true})
	}
	return out
}

// marked are the notes that the finding marks, with those that it points to.
func (s *site) marked() (out []noteAt) {
	spans := []score.Span{s.finding.Span}
	for _, r := range s.finding.Related {
		spans = append(spans, r.Span)
	}
	for v, voice := range s.tune.Voices {
		for b := range voice.Bars() {
			bar := &voice.Bars()[b]
			for e := range bar.Events() {
				for n := range bar.Events()[e].Notes {
					at := noteAt{v, b, e, n}
					if own := bar.Events()[e].Notes[n].Span.Shift(bar.Start); !bar.Events()[e].Expanded && anyHolds(spans, own) {
						out = append(out, at)
					}
				}
			}
		}
	}
	return out
}

func anyHolds(spans []score.Span, s score.Span) bool {
	for _, x := range spans {
		if s.Start < x.End && x.Start < s.End {
			return true
		}
	}
	return false
}

// everywhere respells a note and all of its pitch, in whatever octave, in some
// bars of the player's voices.
func (s *site) everywhere(at noteAt, to pitch, first, last int) change {
	c := change{pitch: map[noteAt]pitch{}}
	was := pitchOf(s.note(at))
	for v, voice := range s.tune.Voices {
		if !s.part.Player.Has(voice.ID) {
			continue
		}
		for b := max(0, first); b <= last && b < voice.Len(); b++ {
			for e := range voice.Bars()[b].Events() {
				ev := &voice.Bars()[b].Events()[e]
				for n := range ev.Notes {
					p := pitchOf(&ev.Notes[n])
					if p.alter == was.alter && (p.str-was.str)%7 == 0 && !ev.Expanded && !rules.IsHarmonic(ev, &ev.Notes[n]) {
						c.pitch[noteAt{v, b, e, n}] = pitch{p.str + to.str - was.str, to.alter}
					}
				}
			}
		}
	}
	return c
}

// allAtOnce respells every marked note that bears a double accidental.
func (s *site) allAtOnce(notes []noteAt) change {
	c := change{pitch: map[noteAt]pitch{}}
	for _, at := range notes {
		p := pitchOf(s.note(at))
		if p.alter > 1 || p.alter < -1 {
			for _, to := range enharmonics(p)[:min(1, len(enharmonics(p)))] {
				c.pitch[at] = to
			}
		}
	}
	return c
}

// enharmonics are the neighbouring strings that sound a pitch with one accidental
// or none.
func enharmonics(p pitch) (out []pitch) {
	for _, str := range []int{p.str + 1, p.str - 1} {
		alter := key(p.str) + p.alter - key(str)
		if alter >= -1 && alter <= 1 {
			out = append(out, pitch{str, alter})
		}
	}
	return out
}

// key counts a natural string's semitones.
func key(str int) int {
	l := ((str % 7) + 7) % 7
	return 12*((str-l)/7) + [...]int{0, 2, 4, 5, 7, 9, 11}[l]
}

// signed names a pitch with the signs of music: C♯5.
func signed(p pitch) string { return rules.PitchWords(p.str, p.alter) }
