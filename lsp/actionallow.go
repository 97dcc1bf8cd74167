package lsp

import "context"

// allowOffers let findings pass as meant: a remark on the line before says so. One
// for each rule at the place.
func allowOffers(_ context.Context, l *listing) (out []offer) {
	seen := map[string]bool{}
	for _, m := range l.answered() {
		if x, ok := l.Allow(m.finding); ok && !seen[x.Title] {
			seen[x.Title] = true
			out = append(out, offer{title: x.Title, diagnostics: m.diagnostics, errand: errand{What: "allow"}.about(m.finding)})
		}
	}
	return out
}

// allowErrand writes the remark.
func allowErrand(_ context.Context, d *desk, e errand) (done, bool) {
	f, ok := d.find(e.finding())
	if !ok {
		return done{}, false
	}
	x, ok := d.Allow(f)
	return done{edits: x.Edits}, ok
}
