package lsp

import (
	"cmp"
	"context"
	"encoding/json"
	"slices"

	"go.lsp.dev/protocol"

	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// selectionRanges widen a selection step by step: the note, its chord, the placing
// that it belongs to, the bar, the phrase (a line of music, on which typists of ABC
// set one), the voice, the tune, the file.
func (s *session) selectionRanges(params json.RawMessage) (work, error) {
	var p wire.SelectionRangeParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	offsets := make([]int, len(p.Positions))
	for i, at := range p.Positions {
		offsets[i] = snap.lines.offset(at)
	}
	return snap.withMusic(func(ctx context.Context, m music) (any, error) {
		ranges := []*protocol.SelectionRange{}
		for _, at := range offsets {
			parts, err := m.HandsNear(ctx, score.Span{Start: at, End: at + 1})
			if err != nil {
				return nil, err
			}
			ranges = append(ranges, nested(snap, spansAround(snap, m, parts, at)))
		}
		return ranges, nil
	}), nil
}

// spansAround are the spans that hold a place, in no order; some may lie across
// others.
func spansAround(snap *snapshot, m music, parts []*rules.Part, at int) []score.Span {
	text := snap.text()
	spans := []score.Span{{Start: 0, End: len(text)}}
	line := snap.lines.lineAt(at)
	start := snap.lines.start(line)
	spans = append(spans, score.Span{Start: start, End: start + len(snap.lines.lineText(line))})
	if first, last, ok := snap.tree().VoiceRun(line); ok {
		end := snap.lines.start(last) + len(snap.lines.lineText(last))
		spans = append(spans, score.Span{Start: snap.lines.start(first), End: end})
	}
	place, ok := m.Score().PlaceAt(at)
	if !ok {
		return spans
	}
	spans = append(spans, place.Tune.Span)
	if place.Bar != nil {
		spans = append(spans, place.Bar.FileSpan())
	}
	if place.Event != nil {
		spans = append(spans, place.Event.Span.Shift(place.Bar.Start))
	}
	if place.Note != nil {
		spans = append(spans, place.Note.Span.Shift(place.Bar.Start))
	}
	for _, part := range parts {
		if _, group, ok := part.PlacingAt(at); ok {
			spans = append(spans, group.Span)
		}
	}
	return spans
}

// nested chains the spans, each in the next larger one that holds it whole. The
// largest is the file.
func nested(snap *snapshot, spans []score.Span) *protocol.SelectionRange {
	slices.SortStableFunc(spans, func(a, b score.Span) int { return cmp.Compare(b.End-b.Start, a.End-a.Start) })
	var chain *protocol.SelectionRange
	var around score.Span
	for _, s := range spans {
		if chain != nil && (s == around || !around.Holds(s)) {
			continue
		}
		chain, around = &protocol.SelectionRange{Range: snap.lines.lineRange(s), Parent: chain}, s
	}
	return chain
}
