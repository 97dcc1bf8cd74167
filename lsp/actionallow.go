package lsp

import (
	"context"

	"fourfold/analysis"
)

// allowOffers let findings pass as meant: a remark on the line before says so. One
// for each rule at the place.
func allowOffers(_ context.Context, l *listing) (out []offer) {
	seen := map[string]bool{}
	for _, m := range l.answered() {
		if x, ok := l.reading.Allow(m.finding); ok && !seen[x.Title] {
			seen[x.Title] = true
			out = append(out, offer{title: x.Title, diagnostics: m.diagnostics, errand: errand{What: "allow"}.about(m.finding)})
		}
	}
	return out
}

// allowErrand writes the remark.
func allowErrand(_ context.Context, r *analysis.Reading, e errand) (done, bool) {
	f, ok := e.finding(r)
	if !ok {
		return done{}, false
	}
	x, ok := r.Allow(f)
	return done{edits: x.Edits}, ok
}
