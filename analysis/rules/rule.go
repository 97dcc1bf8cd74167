package rules

import (
	"maps"

	"fourfold/parser/score"
)

// Rule is one thing that can be wrong with a part.
type Rule struct {
	Name  string // "hands/turn"
	Title string // one line
	// Doc is written for a composer who never met a harpist: what happens at
	// the harp, an example that fails, one that passes, what to do, where the
	// number comes from. The user's docs are made from it.
	Doc string
	// Check finds what depends on no more than about two bars and a second of music
	// on each side of the notes that it reports: after a keystroke it is asked about
	// a stretch of the tune. It must not take the part for the whole tune.
	Check func(p *Part) []Finding
	// Whole finds what depends on more: passages, pedals, repeats, marks at the
	// start. It is always asked about the whole tune. Both are nil where the parser
	// finds it.
	Whole func(p *Part) []Finding
	// Fingered says that Whole needs the fingering, and neither feet nor repeats: of a long
	// tune it is asked section by section, with what is read beside each.
	Fingered bool
}

// find asks the rule about a part. What the whole tune is needed for is left out
// for a stretch of it.
func (r Rule) find(p *Part) (out []Finding) {
	if r.Check != nil {
		out = r.Check(p)
	}
	if r.Whole == nil || p.isStretch {
		return out
	}
	return append(out, afar(r.Whole(p))...)
}

// All are the rules of the hands, strings and feet in the order in which they
// claim a cause, then those of the notation.
func All() []Rule {
	return append([]Rule{
		TooMany, Reach, Restrike, SharedString, Turn, NewPlacing, Stretch, Tight,
		Trill, Tremolo, Harmonic, Bisbigliando, Muffled, LittleFinger, PrintedFinger, Buzz, Damps, Tiring, Low,
		OutOfRange, Undisced, TwoAtOnce, NoPosition, SameFoot, Late, CheaperSpelling, Crowded, WhileRinging, MarkWrong, MarkMissing, LeverTuning, LeverNoHand,
		TempoAssumed, WrongSetting, StaleAllowance,
	}, Notation()...)
}

// Severities are the defaults, all in one table.
func Severities() map[string]Severity { return maps.Clone(severities) }

// DefaultSeverity is a rule's severity by the table.
func DefaultSeverity(rule string) (Severity, bool) {
	s, ok := severities[rule]
	return s, ok
}

var severities = map[string]Severity{
	"hands/too-many":       Error,
	"hands/reach":          Error, // a warning inside a tenth
	"hands/restrike":       Warning,
	"hands/shared-string":  Hint,
	"hands/turn":           Warning,
	"hands/new-placing":    Warning,
	"hands/stretch":        Hint,
	"hands/tight":          Hint,
	"hands/trill":          Warning,
	"hands/tremolo":        Warning,
	"hands/harmonic":       Warning,
	"hands/bisbigliando":   Warning,
	"hands/muffled":        Warning,
	"hands/little-finger":  Warning,
	"hands/printed-finger": Warning,
	"hands/buzz":           Hint,
	"hands/damps":          Off,
	"hands/tiring":         Hint,
	"hands/low":            Hint,
	"strings/out-of-range": Error,
	"feet/two-at-once":     Error,
	"feet/no-position":     Warning,
	"feet/late":            Warning,
	"feet/same-foot":       Warning,
	"feet/crowded":         Hint,
	cheaperSpellingName:    Hint,
	"feet/mark-wrong":      Warning,
	"levers/tuning":        Error,
	"levers/no-hand":       Warning,
	"feet/mark-missing":    Hint,
	"feet/while-ringing":   Hint,
	"strings/undisced":     Error,
	"tempo/assumed":        Hint,
	settingName:            Warning,
	staleName:              Hint,
	score.RuleSyntax:       Error,
	score.RuleUnclosed:     Error,
	score.RuleBarLength:    Warning,
	score.RuleVoices:       Warning,
	score.RuleTie:          Warning,
	score.RuleBroken:       Warning,
	score.RuleTuplet:       Warning,
	score.RuleDecoration:   Warning,
	score.RuleField:        Warning,
	score.RuleScoreVoice:   Warning,
	score.RuleVoice:        Information,
	score.RuleLyrics:       Information,
	score.RuleAccidental:   Hint,
	score.RuleLoose:        Hint,
}
