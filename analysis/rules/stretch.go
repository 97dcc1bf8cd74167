package rules

import (
	"fmt"

	"fourfold/analysis/hands"
)

const stretchName = "hands/stretch"

// Stretch finds groups wider than an octave that come fast or in a row, and chords of
// that width with a string beside the thumb.
var Stretch = Rule{
	Name:  stretchName,
	Title: "wider than an octave: fast, several in a row, or with a string beside the thumb",
	Doc: `A ninth or a tenth lies within a grown hand, but it is open to its limit: such groups sound
well when they come one at a time. Quickly, or several after each other, the hand tires and the fingers
land less surely. A chord of that width with a string right below its highest strains the hand at any speed.

Fails: three tenths in a row in quavers. Passes: one tenth with time before and after; octaves.

What to do: keep within an octave where it is quick, roll the chord, or share the notes between the
hands.

Hands differ. The limits are for a typical adult hand; stop at pain; the player and their teacher
decide.

Where the numbers come from: a wide stretch in a fast repeated pattern makes replacing inaccurate, and a
second finger beside the thumb within a tenth strains the hand (essays of the Harp Legacy Project; read); an octave as the comfortable span is common practice, no
source.`,
	Check: checkStretch,
}

const octave = 7 // steps

// severalInARow is how many wide groups one after another are worth a hint.
// Common practice, no source.
const severalInARow = 3

func checkStretch(p *Part) (out []Finding) {
	for _, h := range p.Hands() {
		pls := h.Solution.Placings
		for i := range pls {
			if pls[i].From == pls[i].To && h.besideThumb(pls[i], p.Settings) {
				out = append(out, p.besideThumbFinding(h, i))
			}
		}
		for i := 0; i < len(pls); {
			j := i
			for j < len(pls) && h.wide(pls[j], p.Settings) && (j == i || !h.afresh(j)) {
				j++
			}
			if n := j - i; n > 0 && (n >= severalInARow || h.fast(i, j-1, p.Settings)) {
				out = append(out, p.stretchFinding(h, i, j-1))
			}
			i = max(j, i+1)
		}
	}
	return out
}

func (h *Hand) afresh(placing int) bool { return h.Solution.Placings[placing].Change == hands.Afresh }

// wide is beyond an octave and within what the hand can take.
func (h *Hand) wide(pl hands.Placing, set Settings) bool {
	low, high := h.extent(pl)
	return high-low > octave && high-low <= set.Hand.Outer.Most && !pl.Impossible
}

// extent is the lowest and the highest string of a placing.
func (h *Hand) extent(pl hands.Placing) (low, high int) {
	low, high = 1<<30, -1<<30
	for i := pl.From; i <= pl.To; i++ {
		s := h.Strokes[i].Strings
		low, high = min(low, s[0]), max(high, s[len(s)-1])
	}
	return low, high
}

// fast says whether the hand has more to do than is comfortable on its way into,
// inside or out of these placings. Inside a roll it sets its own pace.
func (h *Hand) fast(from, to int, set Settings) bool {
	for pl := from; pl <= to+1 && pl < len(h.Solution.Placings); pl++ {
		units := []int{2*pl - 1, 2 * pl}
		if pl == 0 {
			units = units[1:]
		}
		if pl > to {
			units = units[:1]
		}
		for _, u := range units {
			p := &h.Solution.Placings[(u+1)/2]
			if rolled := u%2 == 0 && h.inRoll(hands.Need{From: p.From, To: p.To}); !rolled && h.loadOf(u) > set.Hand.Comfortable {
				return true
			}
		}
	}
	return false
}

// beside is how near below the thumb, in steps, a string is beside it. Common practice,
// no source.
const beside = 2

// besideThumb says whether a chord wider than an octave has a string right below its
// highest.
func (h *Hand) besideThumb(pl hands.Placing, set Settings) bool {
	s := h.Strokes[pl.From].Strings
	return len(s) >= 3 && h.wide(pl, set) && s[len(s)-1]-s[len(s)-2] <= beside
}

func (p *Part) besideThumbFinding(h *Hand, i int) Finding {
	pl := h.Solution.Placings[i]
	f := p.strokeFinding(stretchName, h, pl.From, pl.From)
	plucks := h.Plucks[pl.From]
	low, high := h.extent(pl)
	f.Message = fmt.Sprintf("%s opens the %s to %s with %s right below the thumb: a second finger there strains the hand.",
		quoted(p.strokeName(plucks)), h.Name, IntervalWords(high-low), quoted(p.Typed(plucks[len(plucks)-2])))
	f.Advice = "Move the inner note down, leave it out, or roll the chord."
	return f
}

func (p *Part) stretchFinding(h *Hand, i, j int) Finding {
	pls := h.Solution.Placings
	f := p.strokeFinding(stretchName, h, pls[i].From, pls[j].To)
	f.Severity = p.speedSeverity(f.Severity)
	low, high := h.extent(pls[i])
	if n := j - i + 1; n >= severalInARow {
		f.Message = fmt.Sprintf("%d groups in a row are wider than an octave for the %s, the first from %s to %s, %s.",
			n, h.Name, PitchWords(low, 0), PitchWords(high, 0), IntervalWords(high-low))
	} else {
		f.Message = fmt.Sprintf("%s opens the %s to %s, more than an octave, with little time around it.",
			quoted(p.groupName(h, pls[i])), h.Name, IntervalWords(high-low))
	}
	f.Advice = "Keep within an octave where it is quick, roll the chord, or share it between the hands."
	return f
}

// groupName names the strokes of a placing as typed.
func (p *Part) groupName(h *Hand, pl hands.Placing) string {
	name := ""
	for i := pl.From; i <= pl.To; i++ {
		if i > pl.From {
			name += " "
		}
		name += p.strokeName(h.Plucks[i])
	}
	return name
}
