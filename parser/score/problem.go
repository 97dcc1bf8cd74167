package score

// The names of the notation rules.
const (
	RuleSyntax     = "notation/syntax"        // what the grammar does not know
	RuleBarLength  = "notation/bar-length"    // a bar too long or too short for its meter
	RuleVoices     = "notation/voice-length"  // voices of different length
	RuleTie        = "notation/tie"           // a tie that reaches no note
	RuleUnclosed   = "notation/unclosed"      // a slur, chord, grace group or quote left open
	RuleBroken     = "notation/broken-rhythm" // > or < with nothing to break
	RuleTuplet     = "notation/tuplet"        // a tuplet cut by a bar line, or without its notes
	RuleDecoration = "notation/decoration"    // a decoration nobody knows
	RuleField      = "notation/field-place"   // a field where it may not stand
	RuleVoice      = "notation/voice"         // a voice that the header does not declare
	RuleScoreVoice = "notation/score-voice"   // %%score names a voice that is missing
	RuleAccidental = "notation/accidental"    // an accidental that repeats what is in force
	RuleLyrics     = "notation/lyrics"        // more syllables than notes
	RuleLoose      = "notation/loose"         // outdated or loose writing that is understood
)

func (r *reader) problem(rule string, span Span, message string, fixes ...TextFix) {
	p := Problem{Rule: rule, Message: message, Span: span, Fixes: fixes}
	if v := r.voice; v != nil {
		p.Voice = v.out.ID
		if r.body {
			p.Bar = v.number
		}
	}
	r.add(p)
}

// loose reports outdated or loose writing that is understood. A file that asks
// for strict reading gets it as a fault.
func (r *reader) loose(span Span, message string, fixes ...TextFix) {
	rule := RuleLoose
	if r.strict {
		rule = RuleSyntax
	}
	r.problem(rule, span, message, fixes...)
}

// problemAt reports what belongs to a voice and a bar that may not be the
// current ones.
func (r *reader) problemAt(rule, voice string, bar int, span Span, message string, fixes ...TextFix) {
	r.add(Problem{Rule: rule, Message: message, Span: span, Voice: voice, Bar: bar, Fixes: fixes})
}

// maxProblems bounds what is said about one tune: a text that is no music at
// all would else have something wrong at every byte.
const maxProblems = 2000

func (r *reader) add(p Problem) {
	if r.sink == nil && len(r.tune.Problems) < maxProblems {
		r.tune.Problems = append(r.tune.Problems, p)
	}
}

func replace(title string, span Span, text string) TextFix {
	return TextFix{Title: title, Edits: []Edit{{Span: span, Text: text}}}
}
