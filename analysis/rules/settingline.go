package rules

import (
	"fmt"
	"slices"
	"strings"

	"fourfold/analysis/harp"
	"fourfold/parser/score"
)

const settingName = "fourfold/setting"

// WrongSetting is what is said of a %%fourfold line that is not understood.
var WrongSetting = Rule{
	Name:  settingName,
	Title: "a %%fourfold line is not understood",
	Doc: `A line that starts with %%fourfold tells Fourfold about this tune: whose hands play, which harp,
what matters. In the file's header it is about every tune. A line that is not understood changes nothing.

    %%fourfold harp RH LH                      the voices of the harp, upper staff first; + joins voices
    %%fourfold hand=small instrument=lever34   any setting by name, several on a line
    %%fourfold undisced=C1,D1                  a list has commas and no blanks; none is the empty list
    %%fourfold severity hands/tight=off        how much a rule, or a group of rules, matters
    %%fourfold set cycle=0.2 roll=0.08         any number of the hand
    %%fourfold hints fingers=off               what the editor shows inside the lines

Fails: %%fourfold hand=tiny. Passes: %%fourfold hand=small.

What to do: the message says what is allowed. fourfold explain settings lists every setting.

Where the numbers come from: each number of the hand has its origin beside it in that list.`,
}

// assignment is one NAME=VALUE of a line.
type assignment struct {
	name, text string
	span       score.Span
}

// ForTune gives the settings in force in a tune: its %%fourfold lines lie on top,
// but for what is pinned. Words that are not understood are findings.
func (s Settings) ForTune(t *score.Tune) (Settings, []Finding) {
	var wrong []Finding
	complain := func(span score.Span, format string, args ...any) {
		wrong = append(wrong, Finding{Rule: settingName, Severity: severities[settingName], Tune: t.Number,
			Span: span, Message: fmt.Sprintf(format, args...)})
	}
	var all []assignment
	for _, line := range t.Settings {
		words := wordsOf(line)
		switch {
		case len(words) == 0:
			complain(line.Span, "This line sets nothing: write for example `%%%%fourfold hand=small`.")
		case words[0].text == "harp":
			checkVoices(t, words, complain)
		case words[0].text == "severity":
			all = append(all, assignments(severityTable, words, complain)...)
		case words[0].text == "set":
			all = append(all, assignments(numberTable, words, complain)...)
		case words[0].text == "hints":
			all = append(all, assignments(hintsTable, words, complain)...)
		default:
			all = append(all, assignments("", words, complain)...)
		}
	}
	// A harp comes before its parts, whatever is written first.
	if len(all) > 1 {
		rank := ranks()
		slices.SortStableFunc(all, func(a, b assignment) int { return rank[a.name] - rank[b.name] })
	}
	for _, a := range all {
		if s.pinned[a.name] {
			continue
		}
		if err := s.SetText(a.name, a.text); err != nil {
			complain(a.span, "`%s` has no effect: %s", shown(a), sentence(err))
		}
	}
	for _, a := range all {
		if a.name == "tuning" && !s.Instrument.Levers {
			complain(a.span, "`%s` has no effect: only a lever harp is tuned so, and this is a %s.", shown(a), s.Instrument.Title)
		}
	}
	return s, wrong
}

// sentence is what an error says, closed.
func sentence(err error) string {
	text := err.Error()
	if strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// shown is the assignment as it stands in the line.
func shown(a assignment) string {
	name := a.name
	for _, table := range []string{severityTable, numberTable, hintsTable} {
		name = strings.TrimPrefix(name, table)
	}
	return name + "=" + a.text
}

// ranks order settings as the docs do; those of one key keep their order, and those
// of none come first.
func ranks() map[string]int {
	rank := map[string]int{}
	for i, k := range SettingKeys() {
		rank[k.Name] = i + 1
	}
	return rank
}

// word is a word of a line with its place in the file.
type word struct {
	text string
	span score.Span
}

func wordsOf(line score.Setting) (words []word) {
	text := line.Text
	at := 0
	for _, f := range strings.Fields(text) {
		at += strings.Index(text[at:], f)
		span := line.Span
		if span.End-span.Start == len(text) {
			span = score.Span{Start: line.Span.Start + at, End: line.Span.Start + at + len(f)}
		}
		words = append(words, word{f, span})
		at += len(f)
	}
	return words
}

// assignments reads the words NAME=VALUE; names stand in a table, whose own word
// comes first.
func assignments(table string, words []word, complain func(score.Span, string, ...any)) (out []assignment) {
	if table != "" {
		if len(words) == 1 {
			complain(words[0].span, "Nothing follows `%s`: write for example `%%%%fourfold severity hands/tight=off` or `%%%%fourfold set cycle=0.2`.", words[0].text)
		}
		words = words[1:]
	}
	for _, w := range words {
		name, value, ok := strings.Cut(w.text, "=")
		if !ok || name == "" || value == "" {
			complain(w.span, "`%s` is not understood: write a name, `=` and a value, with no blanks between; or begin the line with `harp`, `severity`, `set` or `hints`.", w.text)
			continue
		}
		out = append(out, assignment{table + name, value, w.span})
	}
	return out
}

// checkVoices says which voices of a harp line the tune lacks.
func checkVoices(t *score.Tune, words []word, complain func(score.Span, string, ...any)) {
	if len(words) == 1 {
		complain(words[0].span, "No voice follows `harp`: write the voices of the upper and the lower staff, as in `%%%%fourfold harp RH LH`.")
	}
	for _, w := range words[1:] {
		for _, id := range strings.Split(w.text, "+") {
			if len(voicesNamed(t, id)) > 0 {
				continue
			}
			if _, known := harp.InstrumentNamed(id); known {
				complain(w.span, "The tune has no voice `V:%s`; for the harp of that name write `%%%%fourfold instrument=%s`.", id, id)
			} else {
				complain(w.span, "`%s` is named here, and the tune has no voice `V:%s`.", id, id)
			}
		}
	}
}
