package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A rule's words are its documentation: each says what fails, what passes, what to
// do, and where its facts come from.
func TestEveryRuleExplainsItself(t *testing.T) {
	severities := Severities()
	seen := map[string]bool{}
	for _, r := range All() {
		assert.False(t, seen[r.Name], "%s stands twice", r.Name)
		seen[r.Name] = true
		assert.Contains(t, severities, r.Name)
		assert.NotEmpty(t, r.Title, r.Name)
		for _, words := range []string{"What to do:", "come", "from:"} {
			assert.Contains(t, r.Doc, words, r.Name)
		}
		if strings.HasPrefix(r.Name, "hands/") && r.Name != tightName {
			assert.Contains(t, r.Doc, "Fails:", r.Name)
			assert.Contains(t, r.Doc, "Passes:", r.Name)
		}
	}
}

// Rules about reach carry the caution.
func TestReachRulesCarryTheCaution(t *testing.T) {
	for _, r := range []Rule{Reach, Stretch, Tiring} {
		assert.Contains(t, r.Doc, "stop at pain", r.Name)
		assert.Contains(t, r.Doc, "typical adult hand", r.Name)
	}
}
