package fix

import (
	"context"
	"slices"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Action is a change that a writer may ask for where nothing is wrong. It is listed at
// once; Act works it out.
type Action struct {
	Name  string // "pedals/marks", …: knows it again
	Title string // in musical words: what it would do
}

// Acted is what an action came to.
type Acted struct {
	Title string // what was done, with numbers
	Edits []score.Edit
	After []byte // the text with them
	Why   string // why there are no edits; "" where there are
}

// action is one kind: what it is called where it makes sense, and how it is done.
type action struct {
	name  string
	title func(*scope) string // "" where it makes no sense
	do    func(context.Context, *scope) (Acted, error)
	none  string // why it makes no sense, where it makes none
}

// actions are all kinds, in the order of the menu.
var actions = []action{
	{"pedals/marks", marksTitle, writeMarks, "No note asks anything of the feet, so there are no pedals to mark."},
	{"pedals/spell-selection", spellSelectionTitle, spellSelection, "Nothing is selected."},
	{"pedals/spell-tune", spellTuneTitle, spellTune, "The feet stand still as it is: no spelling saves them a move."},
	{"pedals/flat-selection", flatSelectionTitle, flatSelection, "Nothing is selected that stands in a key of five to seven sharps."},
	{"pedals/flat-tune", flatTuneTitle, flatTune, "No bar stands in a key of five to seven sharps, so there is nothing to move to the flat side."},
}

// Actions lists what can be asked for at a span of the file: a caret, where it is
// empty, or a selection.
func Actions(t Text, span score.Span) (out []Action) {
	s, ok := newScope(t, span)
	if !ok {
		return nil
	}
	for _, a := range actions {
		if title := a.title(s); title != "" {
			out = append(out, Action{a.name, title})
		}
	}
	return out
}

// Act works an action out. What it writes is read again before it is given: the same
// sounds at the same times, and nothing as severe that was not there. It fails only
// when the context ends.
func Act(ctx context.Context, t Text, name string, span score.Span) (Acted, error) {
	s, ok := newScope(t, span)
	if !ok {
		return Acted{Why: "There is no part for a harp with pedals here."}, nil
	}
	for _, a := range actions {
		if a.name == name {
			if a.title(s) == "" {
				return Acted{Why: a.none}, nil
			}
			if err := s.read(ctx); err != nil {
				return Acted{}, err
			}
			return a.do(ctx, s)
		}
	}
	return Acted{Why: "There is no action " + name + "."}, nil
}

// scope is what an action is about: a player's part in a tune, and bars of it.
type scope struct {
	Text
	index       int // of the tune in the score
	tune        *score.Tune
	player      rules.Player
	set         rules.Settings // of the tune
	part        *rules.Part    // nil until it is read
	selected    bool           // more than a caret
	first, last int            // bars, from 0: those selected, else all
}

// newScope finds the player whose music a span is in: of several in a tune the one
// whose music the span touches, else the first. Only harps with pedals count.
func newScope(t Text, span score.Span) (s *scope, ok bool) {
	for i, tune := range t.Score.Tunes {
		if span.Start < tune.Span.Start || span.Start > tune.Span.End {
			continue
		}
		set, _ := t.Settings.ForTune(tune)
		if !set.Instrument.Pedals {
			continue
		}
		for _, p := range rules.Players(tune) {
			is := &scope{Text: t, index: i, tune: tune, player: p, set: set, selected: span.End > span.Start}
			touched := is.touch(span)
			if s == nil || touched {
				s = is
			}
			if touched {
				return s, true
			}
		}
	}
	return s, s != nil
}

// read reads what the feet do in the part, where it has not been read. It fails only when
// the context ends.
func (s *scope) read(ctx context.Context) error {
	if s.part != nil {
		return nil
	}
	for _, p := range s.Parts {
		if p.Tune == s.tune && p.Pedals != nil && sameVoices(p.Player, s.player) {
			s.part = p
			return nil
		}
	}
	if u := s.tune.Unpacked(); u != s.tune { // the notes of the tune and of the part are to be the same
		s.tune, s.player = u, s.player.In(u)
	}
	s.part = rules.FeetPart(s.File.Text(), s.tune, s.player, s.set)
	return ctx.Err()
}

// touch finds the bars that a span touches and says whether there are any.
func (s *scope) touch(span score.Span) bool {
	s.first, s.last = 0, -1
	touched := false
	for _, v := range s.player.Voices() {
		from, to := v.BarsIn(span)
		for b := from; b < to; b++ {
			bar := &v.Bars()[b]
			begins := span == score.Span{Start: bar.Start, End: bar.Start}
			if begins || slices.ContainsFunc(bar.Pieces(s.File.Text()), func(own score.Span) bool {
				return own.Start < max(span.End, span.Start+1) && span.Start < own.End
			}) {
				if !touched {
					s.first = b
				}
				touched = true
				s.first, s.last = min(s.first, b), max(s.last, b)
			}
		}
	}
	s.selected = s.selected && touched
	if !s.selected {
		s.first, s.last = 0, s.bars()-1
	}
	return touched
}

// bars counts the bars of the part.
func (s *scope) bars() (n int) {
	for _, v := range s.player.Voices() {
		n = max(n, v.Len())
	}
	return n
}

// Edited gives a text with some edits, which must not overlap.
func Edited(text []byte, edits []score.Edit) []byte { return score.Apply(text, edits) }
