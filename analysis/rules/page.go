package rules

import (
	"fmt"
	"strings"
)

// Page is the page for composers, in Markdown: every rule with its own words.
func Page() string {
	var b strings.Builder
	b.WriteString(`# What Fourfold finds

Fourfold reads a harp part as a harpist would and says what does not fit the hands and feet, and why.
These are its rules. Those of the hands, strings and feet come first; those of the notation are about the
ABC itself. How much a rule matters can be set (` + "`%%fourfold severity hands/tight=off`" + ` in the score); ` +
		"`fourfold explain settings`" + ` lists everything that can.

Limits of hands are for a typical adult hand, worked out, not measured on a player. Stop at pain; the
player and their teacher decide.

| rule | matters as | what is wrong |
| --- | --- | --- |
`)
	severities := Severities()
	for _, r := range All() {
		fmt.Fprintf(&b, "| [%s](#%s) | %s | %s |\n", r.Name, anchor(r.Name), severities[r.Name], r.Title)
	}
	b.WriteString("\n")
	for _, r := range All() {
		b.WriteString(RuleSection(r))
		if _, ok := Example(r.Name); ok {
			fmt.Fprintf(&b, "![%s](%s)\n\n[The score in the picture](examples/%s.abc)\n\n", r.Title, PictureFile(r.Name), fileName(r.Name))
		}
	}
	return strings.TrimRight(b.String(), "\n") + "\n"
}

// RuleSection is one rule in Markdown.
func RuleSection(r Rule) string {
	return fmt.Sprintf("## %s\n\n%s%s. Default severity: %s.\n\n%s\n\n", r.Name, strings.ToUpper(r.Title[:1]), r.Title[1:],
		severities[r.Name], escaped(strings.TrimSpace(r.Doc)))
}

// anchor is the name of a heading in a page's address.
func anchor(name string) string { return strings.ReplaceAll(strings.ToLower(name), "/", "") }

// escaped keeps what is ABC from being read as Markdown; indented lines are code.
func escaped(doc string) string {
	lines := strings.Split(doc, "\n")
	for i, l := range lines {
		if !strings.HasPrefix(l, "    ") {
			lines[i] = strings.NewReplacer("*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, "`", "\\`").Replace(l)
			for _, mark := range []string{">", "+", "#"} {
				if strings.HasPrefix(lines[i], mark) {
					lines[i] = `\` + lines[i]
				}
			}
		}
	}
	return strings.Join(lines, "\n")
}
