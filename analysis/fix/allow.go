package fix

import (
	"fmt"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Allow writes a remark before the line of a finding that lets its rule pass there.
// It changes no note. False where the finding stands in no line of the file.
func Allow(file *syntax.File, f rules.Finding) (Fix, bool) {
	text := file.Text()
	if f.Span.Start < 0 || f.Span.Start >= len(text) {
		return Fix{}, false
	}
	line := file.LineAt(f.Span.Start)
	at := file.Start(line)
	remark := rules.Allowance(f.Rule, "meant as written") + lineEnd(file.LineText(line))
	return Fix{Title: fmt.Sprintf("Allow %s on this line", f.Rule), Family: "allow", Rule: f.Rule,
		Edits: []score.Edit{{Span: score.Span{Start: at, End: at}, Text: remark}}}, true
}
