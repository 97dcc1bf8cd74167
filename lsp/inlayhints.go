package lsp

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// inlayHints shows inside the lines of a score how it is played: the finger of
// each note, where a placing ends, which hand takes notes of the other one's
// staff, and which pedals move. Each kind is a setting.
func (s *session) inlayHints(params json.RawMessage) (work, error) {
	var p wire.RangeParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	within := snap.lines.span(p.Range)
	hints := func(ctx context.Context, parts []*rules.Part) (any, error) {
		h := hinter{snap: snap, within: within}
		for _, part := range parts {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			h.part(part)
		}
		return h.sorted(), nil
	}
	whole := snap.withReading(func(ctx context.Context, reading *analysis.Reading) (any, error) {
		parts, err := reading.PartsNear(ctx, within)
		if err != nil {
			return nil, err
		}
		return hints(ctx, parts)
	})
	refreshes := s.asked().refreshesHints
	return func(ctx context.Context) (any, error) {
		g := snap.pass.around(ctx)
		if g == nil || snap.pass.defersMoves(g, within, refreshes) {
			return whole(ctx)
		}
		parts, err := g.HandsNear(ctx, within)
		if err != nil {
			return nil, err
		}
		return hints(ctx, parts)
	}, nil
}

// defersMoves says whether hints must wait for the whole, on which the moves of the pedals
// rest. They need not where no moves are shown, nor in a text that has just been opened:
// there fingers come first, and the client is asked to ask again. After a key the moves
// would go and come again with it.
func (p *pass) defersMoves(g *analysis.Glimpse, within score.Span, refreshes bool) bool {
	if !showsMoves(p.settings(), g.Score(), within) {
		return false
	}
	if !p.first || !refreshes {
		return true
	}
	p.owesMoves.Store(true)
	return p.isRead() // whoever reads the whole looks at what is owed after that
}

// showsMoves says whether moves of the pedals are shown in any tune that a span touches.
func showsMoves(set rules.Settings, s *score.Score, within score.Span) bool {
	return slices.ContainsFunc(s.Tunes, func(t *score.Tune) bool {
		own, _ := set.ForTune(t)
		return overlap(t.Span, within) && own.Instrument.Pedals && !own.HintsOff[rules.PedalHints]
	})
}

// hinter gathers the hints of a stretch of text.
type hinter struct {
	snap   *snapshot
	within score.Span
	hints  []placedHint
}

// placedHint is a hint with the byte that it stands at and where among the hints
// there.
type placedHint struct {
	at, rank int
	hint     wire.InlayHint
}

// The order of hints at one place: what ends before what begins.
const (
	rankEnd = iota
	rankPedal
	rankHand
	rankFinger
)

// raised are the fingers as small digits, so that none is taken for the length
// of a note; 0 is a string that no finger is left for.
var raised = [...]string{"⁻", "¹", "²", "³", "⁴", "⁵"}

func (h *hinter) part(p *rules.Part) {
	off := p.Settings.HintsOff
	notes, groups := p.Placings(h.within)
	for _, g := range groups {
		away := slices.IndexFunc(g.Notes, func(i int) bool { return notes[i].Foreign })
		if away >= 0 && !off[rules.HandHints] {
			h.add(notes[g.Notes[away]].Start, rankHand, handLabel(g.Hand), "The "+g.Hand+" takes this from the other hand's staff.")
		}
		if !off[rules.FingerHints] {
			for _, i := range g.Notes {
				n := notes[i]
				h.add(n.Start, rankFinger, raised[n.Finger], fingerTip(n))
			}
		}
		if !off[rules.PlacingHints] {
			h.add(g.End, rankEnd, "⟩", capital(g.Hand)+": a placing ends here, the notes whose strings it sets together. "+capital(g.Why)+".")
		}
	}
	if p.Pedals != nil && !off[rules.PedalHints] {
		h.moves(p)
	}
}

// moves tells the pedals at the notes that need them.
func (h *hinter) moves(p *rules.Part) {
	for _, m := range p.MovesIn(h.within) {
		at := p.Pedals.Note(m.Demand).Span.Start
		if at < h.within.Start || at > h.within.End {
			continue
		}
		tip := fmt.Sprintf("Before this note the %s foot moves the %s pedal from %s to %s.", m.Foot, m.Letter, pedalName(m.Letter, m.From), pedalName(m.Letter, m.To))
		if m.Late > 0 {
			tip += fmt.Sprintf(" It comes %s s late.", seconds(m.Late))
		}
		h.add(at, rankPedal, "ped. "+pedalName(m.Letter, m.To), tip)
	}
}

// handLabel is how a score names a hand.
func handLabel(hand string) string {
	if hand == "left hand" {
		return "L.H."
	}
	return "R.H."
}

func fingerTip(n rules.PlacedNote) string {
	if n.Finger == 0 {
		return capital(n.Hand) + ": no finger is left for this string."
	}
	return capital(n.Hand) + ", " + rules.FingerWords(n.Finger) + "."
}

// add adds a hint at a byte, if the range holds it; one that is words stands apart
// from the note behind it.
func (h *hinter) add(at, rank int, label, tip string) {
	if at < h.within.Start || at > h.within.End {
		return
	}
	h.hints = append(h.hints, placedHint{at, rank, wire.InlayHint{Position: h.snap.lines.position(at), Label: label, Tooltip: tip,
		PaddingRight: rank == rankPedal || rank == rankHand}})
}

// sorted are the hints in the order of the text.
func (h *hinter) sorted() []wire.InlayHint {
	slices.SortStableFunc(h.hints, func(a, b placedHint) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.rank, b.rank)) })
	out := make([]wire.InlayHint, len(h.hints))
	for i := range h.hints {
		out[i] = h.hints[i].hint
	}
	return out
}
