package main

import (
	"fmt"
	"io"
	"strings"

	"fourfold/analysis/harp"
	"fourfold/analysis/rules"
)

const explainUsage = `usage: fourfold explain [--format text|markdown] [RULE…]
       fourfold explain settings
       fourfold explain FILE:LINE[:COLUMN]

Says what a rule (hands/turn) or each rule of a group (hands) means at the harp and
what to do. Without a name, lists the rules. 'settings' lists what can be set, and
where each number of the hand comes from. A place in a score, as 'fourfold check'
prints it, is explained as the editor's card does: the fingers of the group of notes
there, why it ends where it does, how the hand goes on and how fast it holds. A line
without a column stands for all groups on it.
`

// runExplain prints the rules' own words.
func runExplain(args []string, stdout, stderr io.Writer) int {
	flags := newFlags("explain", explainUsage, stderr)
	format := flags.String("format", "text", "")
	names, code, ok := parseFlags(flags, args, stdout)
	if !ok {
		return code
	}
	if *format != "text" && *format != "markdown" {
		return wrongUsage(stderr, "explain", fmt.Sprintf("--format %s is not known: use text or markdown", *format))
	}
	markdown := *format == "markdown"
	switch {
	case len(names) == 0 && markdown:
		fmt.Fprint(stdout, rules.Page())
		return 0
	case len(names) == 0:
		listRules(stdout)
		return 0
	}
	for _, name := range names {
		if name == "settings" {
			listSettings(stdout)
			continue
		}
		if at, ok := placeIn(name); ok {
			code = max(code, explainPlace(at, stdout, stderr))
			continue
		}
		if err := rules.CheckRule(name); err != nil {
			fmt.Fprintf(stderr, "fourfold explain: %v\n'fourfold explain' lists the rules.\n", err)
			code = 2
			continue
		}
		for _, r := range rules.All() {
			if group, _, _ := strings.Cut(r.Name, "/"); r.Name == name || group == name {
				explainRule(stdout, r, markdown)
			}
		}
	}
	return code
}

func explainRule(w io.Writer, r rules.Rule, markdown bool) {
	if markdown {
		fmt.Fprint(w, rules.RuleSection(r))
		return
	}
	fmt.Fprintf(w, "%s: %s\nDefault severity: %s\n\n%s\n\n", r.Name, r.Title, rules.Severities()[r.Name], strings.TrimSpace(r.Doc))
}

func listRules(w io.Writer) {
	severities := rules.Severities()
	for _, r := range rules.All() {
		fmt.Fprintf(w, "%-24s %-12s %s\n", r.Name, severities[r.Name], r.Title)
	}
}

// listSettings shows every setting with what it may be, and of the numbers where
// each comes from.
func listSettings(w io.Writer) {
	io.WriteString(w, `What can be set, by the same names in four places; the first that has a setting wins:

  an option       fourfold check --hand small --set cycle=0.2 --set lowest=C2
  the score       %%fourfold hand=small lowest=C2
                  %%fourfold severity hands/tight=off feet=hint
                  %%fourfold set cycle=0.2 span.1-4.most=8
  the folder      .fourfold.toml there or in a folder above: hand = "small", [severity], [set]
  the editor      its settings under fourfold

`)
	origins := map[string]harp.Constant{}
	for _, c := range harp.Constants() {
		origins["set."+c.Name] = c
	}
	for _, k := range rules.SettingKeys() {
		name := k.Name
		if strings.HasSuffix(name, ".") {
			name += "RULE"
		}
		fmt.Fprintf(w, "%s\n    %s\n    %s", name, capital(k.About), capital(k.Allowed()))
		if k.Default != nil {
			fmt.Fprintf(w, "; %v unless set", k.Default)
		}
		if c, ok := origins[k.Name]; ok {
			if c.Small != c.Standard {
				fmt.Fprintf(w, ", %v for a small hand", c.Small)
			}
			fmt.Fprintf(w, "\n    Where it comes from: %s", c.Origin)
		}
		if k.Name == "instrument" {
			listInstruments(w)
		}
		fmt.Fprint(w, "\n\n")
	}
}

// listInstruments shows the harps that have a name, and where their numbers come from.
func listInstruments(w io.Writer) {
	for _, i := range harp.Instruments() {
		fmt.Fprintf(w, "\n    %-8s %s, %s to %s\n             Where it comes from: %s", i.Name, i.Title, harp.StringName(i.Lowest), harp.StringName(i.Highest), i.Origin)
	}
}

// capital starts a sentence.
func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
