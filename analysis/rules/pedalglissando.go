package rules

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// Glissando is a sweep over the strings from one note to another. All strings
// between them sound, whatever is written, and no pedal moves for its length.
type Glissando struct {
	From, To hands.Pluck
	Setting  feet.Setting // all seven
	Start    float64      // seconds
	End      float64      // seconds
	first    pluckAt
	last     pluckAt
	clashes  []twoForms
}

// twoForms are two notes of one letter that a glissando cannot both have.
type twoForms struct{ a, b pluckAt }

// Sounds are the strings that sound, a letter each, from the first note's up: "C",
// "Eb", "F#".
func (g Glissando) Sounds() (names []string) {
	first := letterOf(g.From.Note)
	for i := range feet.Letters {
		l := feet.Letter((first + i) % feet.Letters)
		names = append(names, l.String()+g.Setting[l].String())
	}
	return names
}

// glissandoAt finds the glissando in which a byte offset of the file stands. In a part
// without a plan, as of a stretch, it has no setting.
func (p *Part) glissandoAt(offset int) (Glissando, bool) {
	var all []Glissando
	if p.Pedals != nil {
		all = p.Pedals.Glissandi
	} else {
		all = p.glissandi()
	}
	for _, g := range all {
		if wholeEvent(g.From).Start <= offset && offset < wholeEvent(g.To).End && g.From.Voice == g.To.Voice {
			return g, true
		}
	}
	return Glissando{}, false
}

// glissandoWords name the strings of a glissando.
func (p *Part) glissandoWords(g Glissando) string {
	names := strings.NewReplacer("b", "♭", "#", "♯").Replace(strings.Join(g.Sounds(), " "))
	return fmt.Sprintf("every string from %s to %s sounds, written or not: %s", p.pitch(g.From), p.pitch(g.To), names)
}

// glissandi finds the sweeps that have a beginning and an end, in order of time.
func (p *Part) glissandi() (out []Glissando) {
	var struck map[*score.Event]pluckAt // the first note of each event where one begins or ends
	p.eachPluck(func(pl pluckAt) {
		if len(pl.Event.Marks) == 0 || !hands.GlissandoStarts(pl.Event) && !hands.GlissandoEnds(pl.Event) {
			return
		}
		if struck == nil {
			struck = map[*score.Event]pluckAt{}
		}
		if _, known := struck[pl.Event]; !known {
			struck[pl.Event] = pl
		}
	})
	if len(struck) == 0 {
		return nil
	}
	for _, v := range p.read() {
		var open *pluckAt
		for b := range v.Bars() {
			events := v.Bars()[b].Events()
			for e := range events {
				pl, ok := struck[&events[e]]
				if !ok {
					continue
				}
				if open != nil && hands.GlissandoEnds(pl.Event) {
					out = append(out, Glissando{From: *open.Pluck, To: *pl.Pluck, Start: open.t, End: pl.t, first: *open, last: pl})
					open = nil
				}
				if hands.GlissandoStarts(pl.Event) {
					open = &pl
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Glissando) int { return cmp.Compare(a.Start, b.Start) })
	return out
}

// holdGlissandi lets every glissando demand all seven pedals from its first note
// to its last. A letter stands as it is first written within that time, by either
// hand; else as a setting written over its first note says; else where the note
// before left it in the same key; else where the key there sets it. What is written against that within
// the glissando cannot be had and is demanded of nobody.
func (p *Part) holdGlissandi(out *Pedals) {
	for _, g := range p.glissandi() {
		key, since := keyAt(p.inWhole(g.From.Voice), g.From.Bar)
		marked := out.settingOver(g.From.Bar, g.From.Onset)
		g.Setting = settingOfKey(key)
		from := out.lettersFor(&g, since)
		for l := range g.Setting {
			switch {
			case from[l] >= 0:
				g.Setting[l] = out.Demands[from[l]].Pos
			case marked[l] != feet.Free:
				g.Setting[l] = marked[l]
			}
		}
		out.hold(&g, from)
		out.Glissandi = append(out.Glissandi, g)
	}
}

// lettersFor puts the letters as the notes before a glissando have left them, those since
// a bar, and gives the first demand of each letter within it, -1 for none.
func (d *Pedals) lettersFor(g *Glissando, since int) (from [feet.Letters]int) {
	lo, hi := d.during(g)
	for l := range from {
		from[l] = -1
	}
	for i := hi - 1; i >= lo; i-- {
		from[d.Demands[i].Letter] = i
	}
	var seen [feet.Letters]bool
	for i, open := lo-1, feet.Letters; i >= 0 && open > 0 && d.from[i].Bar >= since-1; i-- {
		if l := d.Demands[i].Letter; !seen[l] && d.from[i].Bar >= since {
			seen[l], g.Setting[l] = true, d.Demands[i].Pos
			open--
		}
	}
	return from
}

// during are the demands from the first note of a glissando to its last, the second place
// excluded.
func (d *Pedals) during(g *Glissando) (lo, hi int) {
	lo = sort.Search(len(d.Demands), func(i int) bool { return d.Demands[i].T >= g.Start-tolerance })
	hi = sort.Search(len(d.Demands), func(i int) bool { return d.Demands[i].T > g.End+tolerance })
	return lo, hi
}

// hold puts a glissando's demands in the place of what is against it.
func (d *Pedals) hold(g *Glissando, from [feet.Letters]int) {
	var demands []feet.Demand
	var notes []pluckAt
	all := func(t float64, pl pluckAt) {
		for l, pos := range g.Setting {
			demands, notes = append(demands, feet.Demand{T: t, Letter: feet.Letter(l), Pos: pos}), append(notes, pl)
		}
	}
	lo, hi := d.during(g)
	all(g.Start, g.first)
	for i := lo; i < hi; i++ {
		if demand := d.Demands[i]; demand.Pos != g.Setting[demand.Letter] {
			g.clashes = append(g.clashes, twoForms{d.from[from[demand.Letter]], d.from[i]})
		} else {
			demands, notes = append(demands, demand), append(notes, d.from[i])
		}
	}
	all(g.End, g.last)
	d.Demands, d.from = slices.Replace(d.Demands, lo, hi, demands...), slices.Replace(d.from, lo, hi, notes...)
}
