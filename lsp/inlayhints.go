package lsp

import (
	"context"
	"encoding/json"
	"fmt"

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
	return snap.withReading(func(ctx context.Context, reading *analysis.Reading) (any, error) {
		h := hinter{snap: snap, within: within, out: []wire.InlayHint{}}
		for _, part := range reading.Parts() {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if overlap(part.Tune.Span, within) {
				h.part(part)
			}
		}
		return h.out, nil
	}), nil
}

// hinter gathers the hints of a stretch of text.
type hinter struct {
	snap   *snapshot
	within score.Span
	out    []wire.InlayHint
}

// raised are the fingers as small digits, so that none is taken for the length
// of a note; 0 is a string that no finger is left for.
var raised = [...]string{"⁻", "¹", "²", "³", "⁴", "⁵"}

func (h *hinter) part(p *rules.Part) {
	off := p.Settings.HintsOff
	notes, groups := p.Placings(h.within)
	for _, g := range groups {
		first := notes[g.Notes[0]]
		if first.Foreign && !off[rules.HandHints] {
			h.add(first.Start, handLabel(g.Hand), "The "+g.Hand+" takes this: it has the fingers free for it.", true)
		}
		if !off[rules.FingerHints] {
			for _, i := range g.Notes {
				n := notes[i]
				h.add(n.Start, raised[n.Finger], fingerTip(n), false)
			}
		}
		if !off[rules.PlacingHints] {
			h.add(g.End, "⟩", capital(g.Hand)+": a placing ends here, the notes whose strings it sets together. "+capital(g.Why)+".", false)
		}
	}
	if p.Pedals != nil && !off[rules.PedalHints] {
		h.moves(p)
	}
}

// moves tells the pedals at the notes that need them.
func (h *hinter) moves(p *rules.Part) {
	for _, m := range p.Pedals.Plan.Moves {
		at := p.Pedals.Note(m.Demand).Span.Start
		if at < h.within.Start || at > h.within.End {
			continue
		}
		tip := fmt.Sprintf("Before this note the %s foot moves the %s pedal from %s to %s.", m.Foot, m.Letter, pedalName(m.Letter, m.From), pedalName(m.Letter, m.To))
		if m.Late > 0 {
			tip += fmt.Sprintf(" It comes %s s late.", seconds(m.Late))
		}
		h.add(at, "ped. "+pedalName(m.Letter, m.To), tip, true)
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
func (h *hinter) add(at int, label, tip string, apart bool) {
	if at < h.within.Start || at > h.within.End {
		return
	}
	h.out = append(h.out, wire.InlayHint{Position: h.snap.lines.position(at), Label: label, Tooltip: tip, PaddingRight: apart})
}
