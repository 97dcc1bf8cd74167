package rules

import (
	"slices"
	"strings"

	"fourfold/analysis/feet"
	"fourfold/parser/score"
)

// WantedMark is a pedal mark that a part should bear: a change, or a whole setting.
// It may stand from one place on and must stand at another at the latest; where both
// are the same it stands there.
type WantedMark struct {
	Setting feet.Setting // Free for the letters that it does not name
	Full    bool         // all seven
	From    Place
	Until   Place
}

// Place is somewhere in a part: a bar's number and where in it, in whole notes.
type Place struct {
	Bar   int
	Onset score.Frac
}

// Compare orders places by time.
func (a Place) Compare(b Place) int { return comparePlaces(a.Bar, a.Onset, b.Bar, b.Onset) }

// longRest is from how many bars of rest on the setting is given anew. Common
// practice, no source.
const longRest = 4

// WantedMarks are the marks that write the plan into the score as the trade does: the
// setting at the start, at rehearsal marks, where a repeat begins that is come back to
// in another setting, after long rests and before each glissando; every other change
// just before it is needed. Source: full settings at the start, at sections and before
// glissandi, a change as letter and new accidental (a harp notation dissertation of the
// Sibelius Academy; read).
func (p *Part) WantedMarks() []WantedMark {
	if p.Pedals == nil || len(p.Pedals.Demands) == 0 {
		return nil
	}
	changes := p.changeMarks()
	settings := p.settingMarks()
	for i := range settings {
		s := &settings[i]
		for _, c := range changes {
			// A change that is needed where the setting stands is part of it.
			if c.From.Compare(s.Until) < 0 && c.Until.Compare(s.Until) == 0 && c.From.Compare(s.From) > 0 {
				s.From = c.From
			}
		}
	}
	changes = slices.DeleteFunc(changes, func(c WantedMark) bool {
		return slices.ContainsFunc(settings, func(s WantedMark) bool {
			return c.From.Compare(s.Until) < 0 && c.Until.Compare(s.Until) == 0
		})
	})
	all := append(settings, changes...)
	slices.SortStableFunc(all, func(a, b WantedMark) int { return a.Until.Compare(b.Until) })
	return all
}

// changeMarks are the changes of the plan, each in the time that it has.
func (p *Part) changeMarks() (out []WantedMark) {
	add := func(m feet.Move, from, until Place) {
		mark := WantedMark{Setting: feet.AllFree(), From: from, Until: until}
		mark.Setting[m.Letter] = m.To
		out = append(out, mark)
	}
	for _, m := range p.Pedals.Plan.Moves {
		if !p.OnPage(m) {
			continue
		}
		from := p.start()
		if was, ok := p.Pedals.lastUse(m); ok {
			from = placeOf(was)
		}
		add(m, from, placeOf(p.Pedals.Note(m.Demand)))
	}
	for _, s := range p.Pedals.Seams {
		for i, m := range s.Moves {
			if s.to > s.from {
				add(m, Place{s.to, score.Zero}, placeOf(s.Notes[i]))
			}
		}
	}
	return out
}

// settingMarks are the places that want the whole setting, one at most a place.
func (p *Part) settingMarks() (out []WantedMark) {
	seen := map[Place]bool{}
	add := func(at Place, s feet.Setting, from Place) {
		if !seen[at] {
			seen[at] = true
			out = append(out, WantedMark{Setting: s, Full: true, From: from, Until: at})
		}
	}
	first := placeOf(p.Pedals.Note(0))
	add(first, p.settingAt(first), p.start())
	for _, at := range p.sections() {
		if at.Compare(first) > 0 {
			add(at, p.settingAt(at), Place{at.Bar, score.Zero})
		}
	}
	for _, g := range p.Pedals.Glissandi {
		at := Place{g.From.Bar, g.From.Onset}
		add(at, g.Setting, at)
	}
	return out
}

// sections are the first notes after a rehearsal mark, after a long rest, and in a
// repeat that is come back to in another setting.
func (p *Part) sections() (out []Place) {
	played := map[int]Place{} // the first note of each bar
	last := 0
	for _, pl := range p.Pedals.from {
		if _, known := played[pl.Bar]; !known {
			played[pl.Bar] = placeOf(pl)
		}
		last = max(last, pl.Bar)
	}
	begins := map[int]bool{}
	for _, v := range p.Player.Voices() {
		for b := range v.Bars() {
			begins[b+1] = begins[b+1] || v.Bars()[b].Part != ""
		}
	}
	for _, s := range p.Pedals.Seams {
		begins[s.to] = begins[s.to] || s.to <= s.from
	}
	rests, due := 0, false
	for b := 1; b <= last; b++ {
		at, ok := played[b]
		due = due || begins[b]
		if ok && (due || rests >= longRest) {
			out = append(out, at)
		}
		rests++
		if ok {
			rests, due = 0, false
		}
	}
	return out
}

// settingAt is where the notes at a place need the pedals. What an earlier ending asked
// for does not count after it.
func (p *Part) settingAt(at Place) feet.Setting {
	s := p.Pedals.Plan.Initial
	var ways []seam
	if voices := p.Player.Voices(); len(voices) > 0 {
		ways = seamsOf(voices[0])
	}
	passed := func(bar int) bool {
		return !slices.ContainsFunc(ways, func(w seam) bool { return w.from < bar && bar < w.to && w.to <= at.Bar })
	}
	for i, demand := range p.Pedals.Demands {
		if place := placeOf(p.Pedals.from[i]); place.Compare(at) <= 0 && passed(place.Bar) {
			s[demand.Letter] = demand.Pos
		}
	}
	return s
}

// start is where the part begins.
func (p *Part) start() Place { return Place{1, score.Zero} }

func placeOf(pl pluckAt) Place { return Place{pl.Bar, pl.Onset} }

// Marked says whether marks of the score say already, at a place that will do, what a
// wanted mark says.
func (d *Pedals) Marked(w WantedMark) bool {
	return slices.ContainsFunc(d.Marks, func(m PedalMark) bool { return m.serves(w) })
}

// serves says whether a mark stands where a wanted one should and says all that it does.
func (m PedalMark) serves(w WantedMark) bool {
	at := Place{m.Bar, m.Onset}
	return at.Compare(w.From) >= 0 && at.Compare(w.Until) <= 0 && m.says(w)
}

// Idle are the changes marked in the score that the plan does not make, by their places
// in Marks.
func (p *Part) Idle() (out []int) {
	wanted := p.WantedMarks()
	for i, m := range p.Pedals.Marks {
		if !m.Full && !slices.ContainsFunc(wanted, func(w WantedMark) bool { return m.serves(w) }) {
			out = append(out, i)
		}
	}
	return out
}

// says says whether a mark says all that another does.
func (m PedalMark) says(w WantedMark) bool {
	for l, pos := range w.Setting {
		if pos != feet.Free && m.Setting[l] != pos {
			return false
		}
	}
	return true
}

// Wrong are the marks of the score that the notes contradict, by their places in Marks.
func (d *Pedals) Wrong() (out []int) {
	for i, m := range d.Marks {
		for l, pos := range m.Setting {
			if _, wrong := d.contradicts(i, feet.Letter(l), pos); pos != feet.Free && wrong {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// Corrected is what a mark, by its place in Marks, should say: its letters as the notes
// need them.
func (d *Pedals) Corrected(mark int) feet.Setting {
	s := d.Marks[mark].Setting
	for l, pos := range s {
		if demand, wrong := d.contradicts(mark, feet.Letter(l), pos); pos != feet.Free && wrong {
			s[l] = d.Demands[demand].Pos
		}
	}
	return s
}

// MarkWords writes a wanted mark, a line each: a whole setting in one, else the right
// foot's letters above the left foot's (Sibelius Academy's pages on pedal changes). With
// plain the signs are b, n and #.
func (w WantedMark) MarkWords(plain bool) (lines []string) {
	if w.Full {
		return []string{signs(SettingWords(w.Setting), plain)}
	}
	for _, foot := range []feet.Foot{feet.Right, feet.Left} {
		words := ""
		for _, l := range feet.PedalOrder {
			if w.Setting[l] != feet.Free && l.Foot() == foot {
				words += " " + LetterName(int(l), int(w.Setting[l]))
			}
		}
		if words != "" {
			lines = append(lines, signs(words[1:], plain))
		}
	}
	return lines
}

func signs(words string, plain bool) string {
	if !plain {
		return words
	}
	return strings.NewReplacer("♭", "b", "♮", "n", "♯", "#").Replace(words)
}
