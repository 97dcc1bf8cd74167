package lsp

import (
	"context"
	"encoding/json"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/feet"
	"fourfold/analysis/review"
	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// reviewData answers fourfold/review: what an editor needs to draw brackets over
// the placings and settings under the pedals, each with its place in the text.
func (s *session) reviewData(params json.RawMessage) (work, error) {
	var p wire.ReviewParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	within := score.Span{Start: 0, End: len(snap.text())}
	if p.Range != nil {
		within = snap.lines.span(*p.Range)
	}
	return snap.withReading(func(ctx context.Context, reading *analysis.Reading) (any, error) {
		asks, err := snap.pass.asks(ctx, reading)
		if err != nil {
			return nil, err
		}
		data := reviewDrawer{snap: snap, within: within}
		data.out = wire.Review{URI: snap.uri, Version: snap.version, Tunes: tunesOf(snap, reading, asks),
			Notes: []wire.ReviewNote{}, Placings: []wire.ReviewPlacing{}, Settings: []wire.ReviewSetting{}, Findings: []wire.ReviewFinding{}}
		parts, err := reading.PartsNear(ctx, within)
		if err != nil {
			return nil, err
		}
		for i, part := range parts {
			tune, player := review.PositionOf(parts, reading.Score(), i)
			data.part(part, tune, player)
		}
		data.findings(reading.Touching(score.Span{Start: within.Start - 1, End: within.End + 1}))
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !s.isNewest(snap) {
			return nil, errModified
		}
		return data.out, nil
	}), nil
}

// tunesOf are the tunes with what they ask of each player.
func tunesOf(snap *snapshot, reading *analysis.Reading, asks []review.Asks) []wire.ReviewTune {
	tunes := []wire.ReviewTune{}
	for _, t := range reading.Score().Tunes {
		tunes = append(tunes, wire.ReviewTune{Number: t.Number, Title: t.Title, Range: snap.lines.lineRange(t.Span), Players: []wire.ReviewAsks{}})
	}
	for _, a := range asks {
		t := &tunes[a.Tune]
		t.Players = append(t.Players, wire.ReviewAsks{
			Name: a.Name, Asked: a.Asked, Comfortable: a.Comfortable, Holds: a.Holds, Load: figure(a.Load), Bar: a.Bar, Who: a.Who,
			Assumed: a.Assumed, Moves: a.Moves, Late: a.Late, BusiestBar: a.BusiestBar, BusiestMoves: a.BusiestMoves, Text: a.String(),
		})
	}
	return tunes
}

// reviewDrawer gathers the answer, part by part.
type reviewDrawer struct {
	snap   *snapshot
	within score.Span
	out    wire.Review
}

func (d *reviewDrawer) part(p *rules.Part, tune, player int) {
	notes, groups := p.Placings(d.within)
	firstNote, firstGroup := len(d.out.Notes), len(d.out.Placings)
	for _, n := range notes {
		d.out.Notes = append(d.out.Notes, wire.ReviewNote{Tune: tune, Player: player, Hand: side(n.Hand),
			Range: d.snap.lines.lineRange(n.Span), Finger: n.Finger, Placing: firstGroup + n.Placing})
	}
	for _, g := range groups {
		w := wire.ReviewPlacing{Tune: tune, Player: player, Hand: side(g.Hand), Range: d.snap.lines.lineRange(g.Span),
			Bar: g.Bar, Beat: g.Beat, Why: g.Why, Load: figure(g.Load)}
		for _, i := range g.Notes {
			w.Notes = append(w.Notes, firstNote+i)
		}
		d.out.Placings = append(d.out.Placings, w)
	}
	for _, c := range p.SettingChanges() {
		if overlap(c.Note.Span, d.within) {
			d.out.Settings = append(d.out.Settings, d.setting(c, tune, player))
		}
	}
}

// figure keeps JSON free of what it cannot write: a load without end, where there
// is no time at all, is told as a million.
func figure(x float64) float64 { return min(x, 1e6) }

// side is "right" for "right hand".
func side(hand string) string { return strings.TrimSuffix(hand, " hand") }

func (d *reviewDrawer) setting(c rules.SettingChange, tune, player int) wire.ReviewSetting {
	w := wire.ReviewSetting{Tune: tune, Player: player, Range: d.snap.lines.lineRange(c.Note.Span), Bar: c.Note.Bar, Beat: c.Beat,
		Letters: rules.SettingWords(c.Setting), Diagram: rules.Diagram(c.Setting), Moves: []wire.ReviewMove{}}
	for _, m := range c.Moves {
		w.Moves = append(w.Moves, wire.ReviewMove{Letter: m.Letter.String(), From: pedalName(m.Letter, m.From), To: pedalName(m.Letter, m.To),
			Foot: m.Foot.String(), Late: figure(m.Late)})
	}
	return w
}

// pedalName is a letter and where its pedal stands: F♯.
func pedalName(l feet.Letter, p feet.Pos) string { return rules.LetterName(int(l), int(p)) }

func (d *reviewDrawer) findings(list []rules.Finding) {
	for _, f := range list {
		if !overlap(f.Span, d.within) {
			continue
		}
		d.out.Findings = append(d.out.Findings, wire.ReviewFinding{Range: d.snap.lines.lineRange(f.Span), Rule: f.Rule, Severity: int(f.Severity),
			Message: wording(f), Tune: f.Tune, Voice: f.Voice, Bar: f.Bar, EndBar: f.EndBar, Hand: f.Hand})
	}
}
