package lsp

import (
	"context"

	"fourfold/parser/score"
)

// musicOffers are the changes that can be asked for where nothing is wrong: the pedal
// plan as marks, another spelling, the flat side.
func musicOffers(_ context.Context, l *listing) (out []offer) {
	for _, a := range l.Actions(l.span) {
		out = append(out, offer{title: a.Title, errand: errand{What: "music", Title: a.Name, From: l.span.Start, To: l.span.End, slow: true}})
	}
	return out
}

// musicErrand works one out, and says what came of it or why nothing did.
func musicErrand(ctx context.Context, d *desk, e errand) (done, bool) {
	a, err := d.reading.Act(ctx, e.Title, score.Span{Start: e.From, End: e.To})
	if err != nil {
		return done{said: "There was no time to work it out: select fewer bars.", loud: true}, true
	}
	if a.Why != "" {
		return done{said: a.Why, loud: true}, true
	}
	return done{edits: a.Edits, said: a.Title}, true
}
