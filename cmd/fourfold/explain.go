package main

import (
	"fmt"
	"io"
	"strings"

	"fourfold/analysis/rules"
)

const explainUsage = `usage: fourfold explain [RULE]

Says what a rule means at the harp and what to do. Without a rule, lists them all.
`

// runExplain prints a rule's own words.
func runExplain(args []string, stdout, stderr io.Writer) int {
	flags := newFlags("explain", explainUsage, stderr)
	if err := flags.Parse(args); err != nil {
		return usageCode(err)
	}
	severities := rules.Severities()
	if flags.NArg() == 0 {
		for _, r := range rules.All() {
			fmt.Fprintf(stdout, "%-24s %-12s %s\n", r.Name, severities[r.Name], r.Title)
		}
		return 0
	}
	code := 0
	for _, name := range flags.Args() {
		r, ok := ruleNamed(name)
		if !ok {
			fmt.Fprintf(stderr, "fourfold explain: there is no rule %q: 'fourfold explain' lists them\n", name)
			code = 2
			continue
		}
		fmt.Fprintf(stdout, "%s: %s\nDefault severity: %s\n\n%s\n\n", r.Name, r.Title, severities[r.Name], strings.TrimSpace(r.Doc))
	}
	return code
}

func ruleNamed(name string) (rules.Rule, bool) {
	for _, r := range rules.All() {
		if r.Name == name {
			return r, true
		}
	}
	return rules.Rule{}, false
}
