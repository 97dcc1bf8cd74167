package rules

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"sort"

	"fourfold/analysis/feet"
)

const cheaperSpellingName = "feet/cheaper-spelling"

// CheaperSpelling finds passages that another spelling makes easier for the feet.
var CheaperSpelling = Rule{
	Name:  cheaperSpellingName,
	Title: "another spelling saves pedal moves",
	Doc: `Most notes can be had on two strings: F♯ and G♭ sound alike. Where a passage moves one pedal to and fro, the
neighbouring letter often stands ready, and the feet can rest.

Fails: f ^f =f ^f in four beats, which moves the F pedal three times. Passes: f _g f g, which moves none.

What to do: take the respelling that is offered; it keeps every sound. Where the other spelling would mislead the
reader, leave it: players respell for themselves.

Where the facts come from: write what is played, E♯-F♯ or F-G♭ rather than F-F♯ (a players' information sheet on
pedals; read). From how many moves on it is said is common practice, no source.`,
	Whole: checkCheaperSpelling,
}

// A passage is looked at if it has so many moves, and the spelling is told if it saves
// so many of them: fewer are the player's to find. It is never longer than so many bars.
const (
	restlessMoves = 4
	savedMoves    = 3
	restlessBars  = 8
)

// Respelling is a passage that can be spelled with fewer moves.
type Respelling struct {
	First, Last int // bars
	Moves       int // as spelled
	Fewest      int // in the cheapest spelling
	Notes       int // that it respells
	demand      int // that the first move is for
}

func checkCheaperSpelling(p *Part) (out []Finding) {
	if p.Pedals == nil {
		return nil
	}
	for _, r := range p.Pedals.Cheaper {
		f := p.finding(cheaperSpellingName, *p.Pedals.Note(r.demand).Pluck)
		f.Bar, f.EndBar = r.First, r.Last
		f.Message = fmt.Sprintf("%s for %d pedal moves; with %s spelled on the neighbouring string %s, %d fewer.", barsAsk(r.First, r.Last), r.Moves, count(r.Notes, "note"), doWith(r.Fewest), r.Moves-r.Fewest)
		f.Advice = "Respell the passage: every sound stays."
		out = append(out, f)
	}
	return out
}

func barsAsk(first, last int) string {
	if first == last {
		return fmt.Sprintf("Bar %d asks", first)
	}
	return fmt.Sprintf("Bars %d to %d ask", first, last)
}

func doWith(moves int) string {
	switch moves {
	case 0:
		return "none is needed"
	case 1:
		return "1 will do"
	}
	return fmt.Sprintf("%d will do", moves)
}

// cheaperSpellings looks at every restless passage in which nothing else is wrong with
// the feet: what is late or cannot be set is said by rules of its own, whose fixes
// respell too.
func (p *Part) cheaperSpellings(d *Pedals) (out []Respelling) {
	if p.Player.Lone || p.isStretch && p.section == nil {
		return nil
	}
	all := p.restless(d)
	if len(all) == 0 {
		return nil
	}
	notes, fixed := p.passageNotes(d)
	for _, r := range all {
		fewest, respelled := p.Settings.memory.respelt(p.passage(d, notes, fixed, r))
		if r.Moves-fewest >= savedMoves {
			r.Fewest, r.Notes = fewest, respelled
			out = append(out, r)
		}
	}
	return out
}

// restless are the passages with many moves: bars that have some, no more than one bar
// without between them. What would be longer than a passage may be is cut every so many
// bars of the tune, so that each cut rests on the music around it alone.
func (p *Part) restless(d *Pedals) (out []Respelling) {
	wrong := map[int]bool{}
	for _, c := range d.Plan.Clashes {
		wrong[d.from[c.Demands[0]].Bar] = true
	}
	perBar := map[int]Respelling{}
	var bars []int
	for _, m := range d.Plan.Moves {
		bar := d.from[m.Demand].Bar
		wrong[bar] = wrong[bar] || m.Late > tolerance
		r, known := perBar[bar]
		if !known {
			bars = append(bars, bar)
			r = Respelling{First: bar, Last: bar, demand: m.Demand}
		}
		r.Moves++
		r.demand = min(r.demand, m.Demand)
		perBar[bar] = r
	}
	slices.Sort(bars)
	bars = slices.DeleteFunc(bars, func(bar int) bool { return wrong[bar] })
	for i := 0; i < len(bars); {
		j := i + 1
		for j < len(bars) && bars[j] <= bars[j-1]+2 && !(wrong[bars[j]-1] && perBar[bars[j]-1].Moves > 0) {
			j++
		}
		out = append(out, passagesOf(bars[i:j], perBar)...)
		i = j
	}
	return out
}

// passagesOf are the passages with enough moves in a row of bars.
func passagesOf(row []int, perBar map[int]Respelling) (out []Respelling) {
	whole := row[len(row)-1]-row[0] < restlessBars
	block := func(bar int) int { return (bar - 1) / restlessBars }
	var r Respelling
	for i, bar := range row {
		if i == 0 || !whole && block(bar) != block(r.Last) {
			r = perBar[bar]
		} else {
			r.Last = bar
			r.Moves += perBar[bar].Moves
		}
		if closes := i+1 == len(row) || !whole && block(row[i+1]) != block(bar); closes && r.Moves >= restlessMoves {
			out = append(out, r)
		}
	}
	return out
}

// contextTime is how long before a passage the feet are watched, in seconds.
const contextTime = 3.0

// restlessMusic is a passage as the spelling sees it: its notes, those shortly before
// it and the next of each letter after it, which stay.
type restlessMusic struct {
	music   []feet.Instant
	options feet.SpellOptions
}

func (p *Part) passage(d *Pedals, notes []feet.Note, fixed []bool, r Respelling) (m restlessMusic) {
	begin := sort.Search(len(notes), func(i int) bool { return d.from[i].Bar >= r.First })
	from := begin
	for from > 0 && d.Demands[begin].T-d.Demands[from-1].T < contextTime {
		from--
	}
	zero := d.Demands[from].T
	m.options = feet.SpellOptions{Initial: feet.AllFree(), Start: -contextTime}
	for i := range from {
		m.options.Initial[d.Demands[i].Letter] = d.Demands[i].Pos
	}
	var after [feet.Letters]bool
	for i, seen := from, 0; i < len(notes) && seen < feet.Letters; i++ {
		n, past := notes[i], d.from[i].Bar > r.Last
		if past && after[n.Letter()] {
			continue
		}
		if past {
			after[n.Letter()] = true
			seen++
		}
		n.Fixed = fixed[i] || i < begin || past
		t := d.Demands[i].T - zero
		if k := len(m.music); k == 0 || t-m.music[k-1].T > tolerance {
			m.music = append(m.music, feet.Instant{T: t})
		}
		k := len(m.music) - 1
		m.music[k].Notes = append(m.music[k].Notes, n)
	}
	m.options.Strings = feet.StringsOf(p.Settings.Instrument, m.music)
	return m
}

// passageNotes are the demands as notes, and which of them keep their spelling.
func (p *Part) passageNotes(d *Pedals) (notes []feet.Note, fixed []bool) {
	const middle = 28
	all := make([]Plucked, len(d.from))
	for i, pl := range d.from {
		all[i] = Plucked{*pl.Pluck, pl.t}
	}
	fixed = Bound(all)
	for i, pl := range d.from {
		n := feet.Note{String: pl.Note.String, Alter: pl.Note.Alter}
		if held := d.Demands[i]; n.Letter() != held.Letter || pl.stroke < 0 || n.Alter != int(held.Pos) {
			n, fixed[i] = feet.Note{String: middle + int(held.Letter), Alter: int(held.Pos)}, true
		}
		fixed[i] = fixed[i] || pl.Note.TieTo || pl.Note.TieFrom
		notes = append(notes, n)
	}
	return notes, fixed
}

// work asks for the cheapest spelling.
func (r restlessMusic) work() speltMoves {
	best, err := feet.Spell(context.Background(), r.music, r.options)
	if err != nil || len(best.Impossible) > 0 {
		return speltMoves{moves: math.MaxInt}
	}
	var demands []feet.Demand
	for _, instant := range best.Music {
		for _, n := range instant.Notes {
			demands = append(demands, feet.Demand{T: instant.T, Letter: n.Letter(), Pos: feet.Pos(n.Alter)})
		}
	}
	return speltMoves{len(feet.Windows(demands, r.options.Initial, r.options.Start)), best.Respelled}
}

// key is the passage to the last bit.
func (r restlessMusic) key() string {
	var key []byte
	for _, instant := range r.music {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(instant.T))
		for _, n := range instant.Notes {
			key = append(key, byte(n.String), byte(n.Alter+2))
			if n.Fixed {
				key = append(key, 'f')
			}
		}
		key = append(key, '|')
	}
	for _, pos := range r.options.Initial {
		key = append(key, byte(pos+1))
	}
	s := r.options.Strings
	key = append(key, byte(s.Lowest), byte(s.Highest))
	for str := s.Lowest; str <= s.Highest; str++ {
		if pos, fixed := s.Tuned[str]; fixed {
			key = append(key, byte(str), byte(pos+1))
		}
	}
	return string(key)
}
