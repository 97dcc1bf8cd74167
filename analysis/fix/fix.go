// Package fix finds rewrites that answer a finding. Each is tried on the text,
// parsed and analysed again by the same rules, and offered only if its finding
// is gone, nothing as severe has come and what it promises about the music
// holds.
package fix

import "fourfold/parser/score"

// Fix is one proved change.
type Fix struct {
	Title string // in musical words: what changes
	Rule  string // of the finding that it answers
	Edits []score.Edit
}
