package rules

import (
	"bytes"
	"cmp"
	"context"
	"slices"

	"fourfold/analysis/hands"
	"fourfold/parser/score"
)

// Part is one player's tune as the hands take it: what every rule looks at.
type Part struct {
	Player   Player
	Tune     *score.Tune
	Timeline *score.Timeline
	Settings Settings
	// Right and Left are the staves as written; nil where there is none. Findings
	// are about these.
	Right, Left *Hand
	// Played is who takes what once the hands help each other, right first; what
	// cards and pictures show.
	Played [2]*Hand
	Pedals *Pedals // nil for a harp without pedals
	text   []byte
	// isStretch says that the part is some bars of the tune only, of which those
	// between two bars are asked about.
	isStretch bool
	asked     [2]int
	section   *Section       // of which the part is the reading; nil for a whole part, and for bars around an edit
	whole     *score.Tune    // the tune of the section; nil without
	around    *Around        // what lies beyond the section; nil without
	beyond    []farUse       // the notes there that ask for pedals or levers
	parted    []*score.Voice // what is read of the voices, where it is not all: see read
	spelt     bool           // no rule asks for passages that another spelling makes easier
	workers   int            // processors that it may use
	seams     []seamHand
	byPlace   []pluckAt // see eachInstant
	marked    []eventAt // see eachMarked
}

// read is what the part holds of its player's voices.
func (p *Part) read() []*score.Voice {
	if p.parted != nil {
		return p.parted
	}
	return p.Player.Voices()
}

// Hand is one hand's share: its strokes, their fingering, and where it is
// overloaded.
type Hand struct {
	Name string // "right hand"
	hands.Staff
	Solution *hands.Solution
	runs     []run
	voices   map[string]bool
}

// NewPart reads the staves of a player: the upper one for the right hand, the
// lower one for the left. The only error is the context's.
func NewPart(ctx context.Context, text []byte, t *score.Tune, player Player, set Settings) (*Part, error) {
	return newPart(ctx, readStaves(text, t, player, set))
}

// WrittenPart reads the staves as written, each for its own hand: nothing is shared
// and the feet are left out, which takes half the time.
func WrittenPart(text []byte, t *score.Tune, player Player, set Settings) *Part {
	p := readStaves(text, t, player, set)
	p.Played = [2]*Hand{p.Right, p.Left}
	return p
}

func newPart(ctx context.Context, p *Part) (*Part, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := p.share(ctx); err != nil {
		return nil, err
	}
	p.findRest()
	return p, nil
}

// findRest works out what rests on the hands' shares.
func (p *Part) findRest() {
	if p.isStretch {
		return
	}
	p.seams = p.findSeams()
	p.Pedals = p.findPedals()
}

// readStaves reads the staves as written, each as one hand's.
func readStaves(text []byte, t *score.Tune, player Player, set Settings) *Part {
	if u := t.Unpacked(); u != t { // the notes of a part are compared by their place in memory
		t, player = u, player.In(u)
	}
	p := &Part{Player: player, Tune: t, Settings: set, text: text, isStretch: t.IsStretch(), workers: workersFor(t.IsStretch(), set.memory)}
	p.readHands(p.newHand)
	return p
}

// readHands reads the staves, and makes a hand of each.
func (p *Part) readHands(newHand func(name string, voices []*score.Voice, staff hands.Staff) *Hand) {
	p.Timeline = p.Tune.Timeline(score.TempoChoice{Override: p.Settings.Tempo, Default: p.Settings.DefaultTempo})
	staves := hands.FromScore(p.Player.Upper, p.Player.Lower, layoutOf(p.Tune, p.Player), p.Timeline, p.Settings.Hand)
	p.bothHands(func(side hands.Side) {
		if side == hands.Right {
			p.Right = newHand(handNames[side], p.Player.Upper, staves[side])
		} else {
			p.Left = newHand(handNames[side], p.Player.Lower, staves[side])
		}
	})
	p.marked = p.findMarked()
}

// newHand is nil for a hand that has neither a staff nor notes marked for it.
func (p *Part) newHand(name string, voices []*score.Voice, staff hands.Staff) *Hand {
	if len(voices) == 0 && len(staff.Strokes) == 0 {
		return nil
	}
	h := p.fingered(name, staff, false)
	for _, v := range voices {
		h.voices[v.ID] = true
	}
	return h
}

// plainHand is newHand without a fingering.
func plainHand(name string, voices []*score.Voice, staff hands.Staff) *Hand {
	if len(voices) == 0 && len(staff.Strokes) == 0 {
		return nil
	}
	h := &Hand{Name: name, Staff: staff, voices: map[string]bool{}}
	for _, v := range voices {
		h.voices[v.ID] = true
	}
	return h
}

// fingered works out how a hand plays its strokes, as written or as the hands
// share.
func (p *Part) fingered(name string, staff hands.Staff, played bool) *Hand {
	h := &Hand{Name: name, Staff: staff, voices: map[string]bool{}}
	if p.isStretch {
		p.fingerStretch(h, played)
		return h
	}
	at := p.slotOf(name, played)
	if t := p.Settings.memory.trying(); t != nil {
		h.Solution, h.runs = t.finger(at, h.Strokes, p.Settings.solver())
		return h
	}
	h.Solution = p.Settings.memory.solve(at, h.Strokes, p.Settings.solver())
	h.runs = findRuns(h)
	return h
}

// slotOf names what a hand plays in this part.
func (p *Part) slotOf(hand string, played bool) slot {
	return slot{tune: p.Tune.Number + " " + p.Tune.Title, player: p.Player.Name, hand: hand, played: played}
}

// fingerStretch takes what a hand plays on from what it played last, or from what is
// written for it.
func (p *Part) fingerStretch(h *Hand, played bool) {
	var last *Hand
	if played { // else the staves are still being read, both at once
		last = p.last(h.Name)
	}
	if last == nil {
		h.Solution = p.Settings.solver().Solve(h.Strokes)
	} else if h.Solution = last.Solution.Resolve(h.Strokes); h.Solution == last.Solution {
		h.runs = last.runs
		return
	}
	h.runs = findRuns(h)
}

// last is what the hand of a name played last, or what is written for it; nil for nothing.
func (p *Part) last(name string) *Hand {
	for side, written := range []*Hand{p.Right, p.Left} {
		if handNames[side] != name {
			continue
		}
		if played := p.Played[side]; played != nil {
			return played
		}
		return written
	}
	return nil
}

// Home is the tune that the part is of, or some bars of.
func (p *Part) Home() *score.Tune {
	if p.whole != nil {
		return p.whole
	}
	return p.Tune
}

// Hands are the hands that have a staff, right first, as written.
func (p *Part) Hands() (out []*Hand) {
	for _, h := range []*Hand{p.Right, p.Left} {
		if h != nil {
			out = append(out, h)
		}
	}
	return out
}

// pluckAt is a pluck with its hand and stroke.
type pluckAt struct {
	*hands.Pluck
	hand   *Hand
	stroke int // -1 for a note inside a glissando
	t      float64
}

// eachPluck visits the plucks of the right hand, then of the left; of each hand
// those that share a string with another of their stroke, and those inside a
// glissando, come last.
func (p *Part) eachPluck(visit func(pluckAt)) {
	for _, h := range p.Hands() {
		h.eachPluck(visit)
	}
}

func (h *Hand) eachPluck(visit func(pluckAt)) {
	for i, plucks := range h.Plucks {
		for k := range plucks {
			visit(pluckAt{&plucks[k], h, i, h.Strokes[i].T})
		}
	}
	for i := range h.Doubled {
		d := &h.Doubled[i]
		visit(pluckAt{&d.Pluck, h, d.Stroke, h.Strokes[d.Stroke].T})
	}
	for i := range h.Swept {
		s := &h.Swept[i]
		visit(pluckAt{&s.Pluck, h, -1, s.T})
	}
}

// inOrder are the plucks in an order; of equals the right hand's come first, and of one
// hand's those that eachPluck visits first.
func (p *Part) inOrder(compare func(a, b pluckAt) int) []pluckAt {
	all := make([]pluckAt, 0, p.notes())
	var ends [2]int
	for i, h := range []*Hand{p.Right, p.Left} {
		if h != nil {
			h.eachPluck(func(pl pluckAt) { all = append(all, pl) })
		}
		ends[i] = len(all)
	}
	right, left := all[:ends[0]], all[ends[0]:]
	for _, own := range [2][]pluckAt{right, left} {
		if !slices.IsSortedFunc(own, compare) {
			slices.SortStableFunc(own, compare)
		}
	}
	if len(right) == 0 || len(left) == 0 {
		return all
	}
	out := make([]pluckAt, 0, len(all))
	for len(right) > 0 && len(left) > 0 {
		if compare(left[0], right[0]) < 0 {
			out, left = append(out, left[0]), left[1:]
		} else {
			out, right = append(out, right[0]), right[1:]
		}
	}
	return append(append(out, right...), left...)
}

// sooner orders plucks by time.
func sooner(a, b pluckAt) int { return cmp.Compare(a.t, b.t) }

// notes is how many plucks eachPluck visits.
func (p *Part) notes() (n int) {
	for _, h := range p.Hands() {
		for _, plucks := range h.Plucks {
			n += len(plucks)
		}
		n += len(h.Doubled) + len(h.Swept)
	}
	return n
}

// eachInstant visits the plucks of both hands that the score puts at one place, place by
// place. The notes of a roll belong together; a grace note stands for itself.
func (p *Part) eachInstant(visit func(group []pluckAt)) {
	if p.byPlace == nil {
		p.byPlace = p.inOrder(byPlace)
	}
	from := 0
	for i := range p.byPlace {
		if i+1 == len(p.byPlace) || byPlace(p.byPlace[i], p.byPlace[i+1]) != 0 {
			visit(p.byPlace[from : i+1 : i+1])
			from = i + 1
		}
	}
}

// byPlace orders plucks by where the score puts them: grace notes before the notes that
// they lead to.
func byPlace(a, b pluckAt) int {
	switch c := cmp.Or(cmp.Compare(a.Bar, b.Bar), a.Onset.Cmp(b.Onset)); {
	case c != 0 || !a.Grace && !b.Grace:
		return c
	case !b.Grace:
		return -1
	case !a.Grace:
		return 1
	}
	return cmp.Compare(a.t, b.t)
}

// finding starts a finding on one note.
func (p *Part) finding(rule string, pl hands.Pluck) Finding {
	return Finding{Rule: rule, Severity: p.severity(rule), Tune: p.Tune.Number, Voice: pl.Voice.ID, Bar: pl.Bar, EndBar: pl.Bar, Span: pl.Span}
}

// severity is the setting's or the default; a lone staff gets hints only.
func (p *Part) severity(rule string) Severity {
	s := severities[rule]
	if p.Player.Lone && s != Off {
		return Hint
	}
	return s
}

// Typed is the note as the engraver typed it: accidental, letter, octave.
func (p *Part) Typed(pl hands.Pluck) string {
	if pl.Event.Expanded {
		return p.pitch(pl)
	}
	at := pl.Span.Start - pl.Note.Span.Start
	head := pl.Note.Head.Shift(at)
	if head.Start < 0 || head.End > len(p.text) || head.Start >= head.End {
		return p.pitch(pl)
	}
	return string(p.text[head.Start:head.End])
}

// pitch is the note's pitch: "F♯5".
func (p *Part) pitch(pl hands.Pluck) string { return PitchWords(pl.Note.String, pl.Note.Alter) }

// hull is the span from one note to another where they stand on one line of
// the text, in one bar of one voice; else the first note's.
func (p *Part) hull(a, b hands.Pluck) score.Span {
	s := score.Span{Start: min(a.Span.Start, b.Span.Start), End: max(a.Span.End, b.Span.End)}
	if a.Voice != b.Voice || s.Start < 0 || s.End > len(p.text) || bytes.ContainsAny(p.text[s.Start:s.End], "\r\n") {
		return a.Span
	}
	return s
}

// strokeName is a stroke as typed: `d`, or `[Ac]` for several strings.
func (p *Part) strokeName(plucks []hands.Pluck) string {
	if len(plucks) == 1 {
		return p.Typed(plucks[0])
	}
	name := "["
	for _, pl := range plucks {
		name += p.Typed(pl)
	}
	return name + "]"
}
