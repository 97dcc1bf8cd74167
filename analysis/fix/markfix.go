package fix

import (
	"fmt"
	"strings"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// pedalMarks answers what is wrong with the pedal marks of a score: a mark that the
// notes contradict is corrected or taken out, a setting that is missing at the start is
// written.
func pedalMarks(s *site) (out []candidate) {
	if s.part == nil || s.part.Pedals == nil {
		return nil
	}
	if s.finding.Rule == rules.MarkMissing.Name {
		is := &scope{Text: Text{File: s.parsed, Score: s.score, Settings: s.set}, index: s.index, tune: s.tune, player: s.part.Player, set: s.set, part: s.part}
		m := is.newMarking()
		for _, w := range s.part.WantedMarks() {
			if w.Full && m.put(w) {
				return []candidate{{title: fmt.Sprintf("Write the setting at the start: %s", w.MarkWords(m.plain)[0]),
					change: change{marks: m.edits()}, promise: untouched}}
			}
		}
		return nil
	}
	for i, mark := range s.part.Pedals.Marks {
		if mark.Span != s.finding.Span {
			continue
		}
		right := rules.WantedMark{Setting: s.part.Pedals.Corrected(i), Full: mark.Full}
		text := string(s.text[mark.Span.Start:mark.Span.End])
		words := strings.Join(right.MarkWords(strings.ContainsAny(mark.Text, "b#")), " ")
		if rules.IsDiagram(mark.Text) {
			words = rules.Diagram(right.Setting)
		}
		edit := score.Edit{Span: mark.Span, Text: `"` + placement(text) + words + `"`}
		out = append(out,
			candidate{title: fmt.Sprintf("Write the mark as %s, as the notes need it", words), change: change{marks: []score.Edit{edit}}, promise: untouched},
			candidate{title: fmt.Sprintf("Take out the mark %s", mark.Text), change: change{marks: []score.Edit{{Span: mark.Span}}}, promise: untouched})
	}
	return out
}

// placement is the sign for where an annotation stands, from its text with the quotes.
func placement(quoted string) string {
	if len(quoted) > 1 && strings.ContainsAny(quoted[1:2], "^_<>@") {
		return quoted[1:2]
	}
	return ""
}
