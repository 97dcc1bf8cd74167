package lsp

import (
	"encoding/json"
	"net/url"
	"strings"

	"go.lsp.dev/protocol"
)

// rulePage is where an editor keeps the page of the rules, the one that
// `fourfold explain --format markdown` prints: the client names it when it begins,
// beside the settings in its initializationOptions, as in
//
//	{"rulesPage": "https://example.org/RULES.md"}
//
// Without it, and for clients that show no links beside a finding, there are none.
type rulePage string

// rulePageOf reads the address. What is neither on the web nor a file is left out.
func rulePageOf(options json.RawMessage) rulePage {
	var o struct {
		RulesPage string `json:"rulesPage"`
	}
	if json.Unmarshal(options, &o) != nil {
		return ""
	}
	u, err := url.Parse(o.RulesPage)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" && u.Scheme != "file" {
		return ""
	}
	return rulePage(strings.TrimSuffix(o.RulesPage, "#"))
}

// link leads to the section of a rule; headings have their names without slashes as
// anchors, as Markdown's readers make them.
func (p rulePage) link(rule string) *protocol.CodeDescription {
	if p == "" {
		return nil
	}
	return &protocol.CodeDescription{Href: protocol.URI(string(p) + "#" + strings.ReplaceAll(rule, "/", ""))}
}
