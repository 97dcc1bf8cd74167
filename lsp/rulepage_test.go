package lsp

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/lsp/lsptest"
)

func TestFindingsLinkToTheirRule(t *testing.T) {
	const shows = `{"textDocument":{"publishDiagnostics":{"codeDescriptionSupport":true}}}`
	for _, c := range []struct{ capabilities, options, want string }{
		{shows, `{"rulesPage":"https://example.org/RULES.md"}`, "https://example.org/RULES.md#handsturn"},
		{shows, `{"fourfold":{"hand":"small"},"rulesPage":"file:///opt/fourfold/RULES.md#"}`, "file:///opt/fourfold/RULES.md#handsturn"},
		{shows, `{"rulesPage":"command:format.disk"}`, ""},
		{shows, `{}`, ""},
		{`{}`, `{"rulesPage":"https://example.org/RULES.md"}`, ""},
	} {
		k := begin(t, (*analysis.Glimpse).Whole)
		require.NoError(t, k.Request(k.ctx, "initialize", map[string]any{
			"capabilities": json.RawMessage(c.capabilities), "initializationOptions": json.RawMessage(c.options)}, nil))
		require.NoError(t, k.Open(uri, turning))
		k.diagnostics(uri)
		var list struct {
			Diagnostics []struct {
				Code            string
				CodeDescription struct{ Href string }
			}
		}
		k.await(func(s lsptest.State) bool {
			p, _ := s.Last(uri)
			return json.Unmarshal([]byte(p.Raw), &list) == nil
		})
		require.NotEmpty(t, list.Diagnostics)
		for _, d := range list.Diagnostics {
			if d.Code == "hands/turn" {
				assert.Equal(t, c.want, d.CodeDescription.Href)
			}
		}
	}
}

// The page has a heading for every rule, of which readers of Markdown make the
// anchor.
func TestRulesPageHasEveryRule(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "analysis", "rules", "RULES.md"))
	require.NoError(t, err)
	for _, r := range rules.All() {
		assert.Contains(t, strings.Split(string(page), "\n"), "## "+r.Name)
	}
}
