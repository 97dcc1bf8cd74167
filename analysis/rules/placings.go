package rules

import (
	"cmp"
	"math"
	"slices"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// PlacedNote is a note with the finger that takes it. Spans are bytes of the file.
type PlacedNote struct {
	Span    score.Span // with length and tie; where a macro gave the note, its call
	Start   int        // where the note's accidental or letter stands
	Hand    string     // "right hand"
	Finger  int        // 1 is the thumb; 0 where no finger is left
	Placing int        // by its place in the list of placings
	Foreign bool       // the hand takes it from the other hand's staff
}

// PlacedGroup is a placing: the notes that a hand sets together.
type PlacedGroup struct {
	Span  score.Span // from its first note on as far as it stands on one line, in bytes of the file
	Hand  string
	Bar   int
	Beat  string // "2½"
	Notes []int  // by their place in the list of notes, in the order of playing
	End   int    // the byte behind its last note
	Why   string // why it ends where it does, in words
	Load  float64
}

// Placings are the groups that have a note in a span of the file, with their
// notes, right hand first.
func (p *Part) Placings(within score.Span) (notes []PlacedNote, groups []PlacedGroup) {
	for _, h := range p.Played {
		if h == nil {
			continue
		}
		first, last := p.strokesIn(h, within)
		for k := h.placingOf(first); k < len(h.Solution.Placings) && h.Solution.Placings[k].From < last; k++ {
			if !h.placingTouches(k, within) {
				continue
			}
			g := p.group(h, k)
			for _, n := range p.placedNotes(h, k) {
				n.Placing = len(groups)
				g.Notes = append(g.Notes, len(notes))
				notes = append(notes, n)
			}
			groups = append(groups, g)
		}
	}
	return notes, groups
}

// PlacingAt is the group that the note at a byte of the file belongs to, with its
// notes; false where no note of the part stands there.
func (p *Part) PlacingAt(offset int) (notes []PlacedNote, group PlacedGroup, ok bool) {
	for _, h := range p.Played {
		if h == nil {
			continue
		}
		if i, ok := p.strokeAt(h, offset); ok {
			k := h.placingOf(i)
			return p.placedNotes(h, k), p.group(h, k), true
		}
	}
	return nil, PlacedGroup{}, false
}

// placingOf is the placing that a stroke belongs to.
func (h *Hand) placingOf(stroke int) int {
	k, _ := slices.BinarySearchFunc(h.Solution.Placings, stroke, func(pl hands.Placing, i int) int { return cmp.Compare(pl.To, i) })
	return k
}

func (h *Hand) placingTouches(k int, within score.Span) bool {
	pl := &h.Solution.Placings[k]
	for i := pl.From; i <= pl.To; i++ {
		for j := range h.Plucks[i] {
			if s := h.Plucks[i][j].Span; s.Start < within.End && within.Start < s.End {
				return true
			}
		}
	}
	return false
}

func (p *Part) group(h *Hand, k int) PlacedGroup {
	pl := &h.Solution.Placings[k]
	first := firstInText(h.Plucks[pl.From])
	g := PlacedGroup{
		Span: p.spanOf(h, pl.From, pl.To, first), Hand: h.Name, Bar: first.Bar,
		Beat: BeatName(first.Onset, p.Timeline.BeatAt(first.Bar, first.Onset)),
		Why:  endWords[h.Solution.Why(k)], Load: max(pl.Load, pl.ChangeLoad),
	}
	for _, pluck := range h.Plucks[pl.To] {
		g.End = max(g.End, wholeEvent(pluck).End)
	}
	return g
}

func (p *Part) placedNotes(h *Hand, k int) (out []PlacedNote) {
	pl := &h.Solution.Placings[k]
	own := p.Player.Upper
	if h.Name == handNames[1] {
		own = p.Player.Lower
	}
	for i := pl.From; i <= pl.To; i++ {
		for j, pluck := range h.Plucks[i] {
			n := PlacedNote{Span: pluck.Span, Start: pluck.Span.Start, Hand: h.Name, Foreign: !slices.Contains(own, pluck.Voice)}
			if j < len(pl.Fingers[i-pl.From]) {
				n.Finger = pl.Fingers[i-pl.From][j]
			}
			out = append(out, n)
		}
	}
	return out
}

// MovesIn are the moves of the pedals for the notes of the bars that a span of the
// file touches, and of their neighbours.
func (p *Part) MovesIn(within score.Span) (moves []feet.Move) {
	from, to := math.Inf(1), math.Inf(-1)
	for _, h := range p.Hands() {
		if first, last := p.strokesIn(h, within); first < last {
			from, to = min(from, h.Strokes[first].T), max(to, h.Strokes[last-1].T)
		}
	}
	if p.Pedals == nil {
		return nil
	}
	for _, m := range p.Pedals.Plan.Moves {
		if from <= m.Deadline && m.Deadline <= to {
			moves = append(moves, m)
		}
	}
	return moves
}

// SettingChange is a place from which on the pedals stand otherwise.
type SettingChange struct {
	Note    hands.Pluck // the note that needs it
	Beat    string
	Setting feet.Setting
	Moves   []feet.Move // what leads there; none for the setting before the piece
}

// SettingChanges are the settings of a part in order, that before the piece
// first; none for a harp without pedals or a part without notes.
func (p *Part) SettingChanges() (out []SettingChange) {
	if p.Pedals == nil || len(p.Pedals.Demands) == 0 {
		return nil
	}
	plan := p.Pedals.Plan
	out = append(out, p.settingChange(0, plan.Initial))
	moves := slices.Clone(plan.Moves)
	slices.SortStableFunc(moves, func(a, b feet.Move) int { return cmp.Compare(a.Deadline, b.Deadline) })
	for i, m := range moves {
		last := len(out) - 1
		if i > 0 && m.Deadline == moves[i-1].Deadline {
			out[last].Setting[m.Letter] = m.To
			out[last].Moves = append(out[last].Moves, m)
			continue
		}
		next := p.settingChange(m.Demand, out[last].Setting)
		next.Setting[m.Letter], next.Moves = m.To, []feet.Move{m}
		out = append(out, next)
	}
	return out
}

func (p *Part) settingChange(demand int, s feet.Setting) SettingChange {
	at := p.Pedals.Note(demand).Pluck
	return SettingChange{Note: *at, Beat: BeatName(at.Onset, p.Timeline.BeatAt(at.Bar, at.Onset)), Setting: s}
}
