// Package rules says what does not fit: one rule a file, each with its name,
// a doc comment for composers and a check over the reading of one player's
// part. Rules never touch text.
package rules

import "fourfold/parser/score"

// Severity orders findings; a smaller number is worse.
type Severity int

// The severities, in the order of the protocol's own numbers.
const (
	Off Severity = iota
	Error
	Warning
	Information
	Hint
)

// String is the word used in settings and output.
func (s Severity) String() string {
	return [...]string{"off", "error", "warning", "information", "hint"}[s]
}

// Finding is one cause of trouble at one place.
type Finding struct {
	Rule     string // "hands/turn"
	Severity Severity
	Tune     string // the text of X:
	Voice    string
	Bar      int        // number of the bar that the first note stands in
	EndBar   int        // number of the bar that the last note stands in
	Hand     string     // "right hand", "left hand"; "" where no hand is meant
	From, To int        // first and last stroke at fault, where a hand is meant
	Span     score.Span // bytes of the file: the notes at fault
	Message  string     // what is asked, what can be done, by how much it misses
	Advice   string     // what to do; "" where the message says it
	Related  []Related
	Speed    *Speed          // nil where speed is not the cause
	Certain  []score.TextFix // changes that mend a notation finding for sure
	far      bool            // it depends on more than the music around it
	of       int             // the bar whose section of a long tune finds it; 0 for Bar
	notation bool            // the parser found it
}

// Related points to another place that has a part in the finding.
type Related struct {
	Span    score.Span // bytes of the file
	Message string
}

// Speed is how a finding depends on the tempo. Tempi are quarters a minute.
type Speed struct {
	Load               float64 // the need divided by the time there is
	Tempo              float64 // in force at the finding
	HoldsUpTo          float64
	ComfortableUpTo    float64
	OneDirectionHolds  float64 // the same notes in one direction, 0 if not asked
	OneDirectionEasily float64
}
