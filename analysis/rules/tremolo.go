package rules

import (
	"fmt"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

const tremoloName = "hands/tremolo"

// Tremolo finds repeated notes written as slashes that are too fast for a string.
var Tremolo = Rule{
	Name:  tremoloName,
	Title: "a tremolo on one string is too fast",
	Doc: `A tremolo written as strokes through the stem asks for one string again and again. A finger needs
about 0.18 s to come back onto a string, and touching it stops the sound, so a fast tremolo on one string
neither holds nor rings.

Fails: !///!c4 at ♩ = 100 (13 strokes a second). Passes: the same pitch on two strings, as B♯ and C, taken
in turn.

What to do: write it on two neighbouring strings that sound alike (every note but D, G and A natural has
such a pair), best for two hands.

Where the facts come from: repetition of one string makes no convincing tremolo, and two strings are the
remedy (a harp notation dissertation of the Sibelius Academy; a harpist's essay on enharmonics; read); the
time is common practice, no source.`,
	Check: checkTremolo,
}

func checkTremolo(p *Part) (out []Finding) {
	p.eachMarked(func(ev eventAt) {
		slashes := slashesOf(ev.Event)
		if slashes == 0 {
			return
		}
		note := score.F(1, int64(4)<<slashes)
		gap := p.Timeline.Between(ev.bar, ev.Onset, ev.bar, ev.Onset.Add(note))
		need := p.Settings.Hand.SameNext
		if gap <= 0 || need <= gap+1e-9 {
			return
		}
		f := p.eventFinding(tremoloName, ev)
		f.Severity = p.speedSeverity(f.Severity)
		tempo := p.Timeline.QuartersAt(ev.bar, ev.Onset)
		load := need / gap
		f.Speed = &Speed{Load: load, Tempo: tempo, HoldsUpTo: tempo / load, ComfortableUpTo: p.Settings.Hand.Comfortable * tempo / load}
		beat := p.Timeline.BeatAt(ev.bar, ev.Onset)
		f.Message = fmt.Sprintf("This tremolo asks for %.1f strokes a second on one string; a finger comes back %.1f times at most. Comfortable up to %s, holds up to %s.",
			1/gap, 1/need, TempoWords(f.Speed.ComfortableUpTo, beat), TempoWords(f.Speed.HoldsUpTo, beat))
		f.Advice = "Write it on two neighbouring strings that sound alike, for both hands in turn, or with fewer strokes."
		out = append(out, f)
	})
	return out
}

// slashesOf counts the strokes through the stem: !/!, !//!, !///! and !trem1! to
// !trem4!.
func slashesOf(ev *score.Event) int {
	for n := 1; n <= 4; n++ {
		if hands.HasMark(ev, strings.Repeat("/", n)) || hands.HasMark(ev, fmt.Sprintf("trem%d", n)) {
			return n
		}
	}
	return 0
}
