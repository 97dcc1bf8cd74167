package lsp

import (
	"fmt"
	"strings"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
)

// mostPreviewed is how many lines of a preview are shown.
const mostPreviewed = 6

// askActions stands for changes that nobody has asked for yet.
const askActions = "The code actions here say what would mend it; asked for once, they stand in this card too."

// remedies say for each of the findings at a place what would mend it, each change with the
// bars before and after it as ABC, or why nothing does; "" where nothing is found. To
// prove changes takes longer than a hover may: what has not been asked for as code
// actions is pointed to.
func remedies(findings []rules.Finding, known func(rules.Finding) (fix.Answer, bool), markdown bool) string {
	var b strings.Builder
	unknown := false
	for _, f := range findings {
		if a, ok := known(f); ok {
			remedy(&b, f, a, markdown)
		} else {
			unknown = true
		}
	}
	if unknown {
		fmt.Fprintf(&b, "\n%s\n", askActions)
	}
	return b.String()
}

func remedy(b *strings.Builder, f rules.Finding, a fix.Answer, markdown bool) {
	heading, block, end := "\nWhat would mend %s:\n", "", ""
	if markdown {
		heading, block, end = "\n**What would mend %s**\n\n", "```abc\n", "```\n\n"
	}
	fmt.Fprintf(b, heading, f.Rule)
	if a.Why != "" {
		fmt.Fprintf(b, "%s\n", a.Why)
	}
	for i, x := range a.Fixes {
		fmt.Fprintf(b, "%d. %s\n", i+1, x.Title)
		if x.Before != "" || x.After != "" {
			fmt.Fprintf(b, "\n%s%% now\n%s%% then\n%s%s", block, previewed(x.Before), previewed(x.After), end)
		}
	}
}

// previewed are the first lines of a preview.
func previewed(text string) string {
	lines := strings.Split(text, "\n")
	if len(lines) > mostPreviewed {
		lines = append(lines[:mostPreviewed], "% …")
	}
	return strings.Join(lines, "\n") + "\n"
}
