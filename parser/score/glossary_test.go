package score

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/parser/syntax"
)

// Every term can be written as it stands, and each stands once.
func TestGlossary(t *testing.T) {
	for name, terms := range map[string][]Term{
		"modes": Modes(), "keys": Keys(), "clefs": Clefs(), "properties": VoiceProperties(), "directives": Directives(),
		"annotations": Annotations(), "decorations": Decorations(),
	} {
		seen := map[string]bool{}
		assert.NotEmpty(t, terms)
		for _, term := range terms {
			assert.False(t, seen[term.Name], "%s: %s", name, term.Name)
			seen[term.Name] = true
			assert.False(t, strings.HasSuffix(term.Title, "."), term.Title)
			if name != "decorations" {
				assert.NotEmpty(t, term.Title, term.Name)
			}
		}
	}
	for _, d := range Decorations() {
		assert.True(t, known[d.Name], d.Name)
	}
	for name := range decorationTitles {
		assert.True(t, known[name], name)
	}
	for _, c := range Clefs() {
		assert.True(t, isClefName(c.Name), c.Name)
	}
	for _, m := range Modes() {
		assert.Empty(t, parseKey("D"+m.Name).faults, m.Name)
	}
	for _, k := range Keys() {
		assert.Empty(t, parseKey(k.Name).faults, k.Name)
	}
	assert.Equal(t, "C major, no signs", Keys()[0].Title)
	assert.Equal(t, [7]int8{0: 1, 3: 1}, KeySign("D"))
}

// A field that may not stand where the list says is told by the parser.
func TestFieldsStandWhereTheyMay(t *testing.T) {
	wrong := func(text string) bool {
		s := Build(syntax.Parse([]byte(text)))
		for _, p := range s.Tunes[0].Problems {
			if p.Rule == RuleField {
				return true
			}
		}
		return false
	}
	for _, f := range Fields() {
		if f.Name == "X:" || f.Name == "K:" || f.Name == "+:" {
			continue
		}
		if f.Header {
			assert.False(t, wrong("X:1\nT:t\n"+f.Name+"1\nK:C\nC8|\n"), f.Name)
		}
		if f.Body {
			assert.False(t, wrong("X:1\nT:t\nK:C\nC8|\n"+f.Name+"1\nC8|\n"), f.Name)
		}
		if f.Inline {
			assert.False(t, wrong("X:1\nT:t\nK:C\nC8|["+f.Name+"1]C8|\n"), f.Name)
		}
	}
}
