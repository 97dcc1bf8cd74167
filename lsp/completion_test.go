package lsp

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// completed is a completion item as a client reads it.
type completed struct {
	Label, Detail, FilterText string
	Documentation             struct{ Kind, Value string }
	TextEdit                  lsptest.TextEdit
}

// complete asks at the mark ‸ of a text, which is not part of it.
func complete(t *testing.T, k *talk, marked string) (text string, items map[string]completed) {
	t.Helper()
	offset := strings.Index(marked, "‸")
	text = strings.Replace(marked, "‸", "", 1)
	require.NoError(t, k.Open(uri, text))
	var list struct{ Items []completed }
	require.NoError(t, k.Request(k.ctx, "textDocument/completion", map[string]any{
		"textDocument": docID(uri), "position": lsptest.At(text, offset)}, &list))
	require.NotNil(t, list.Items)
	items = map[string]completed{}
	for _, i := range list.Items {
		require.NotContains(t, items, i.Label, "each once")
		items[i.Label] = i
	}
	return text, items
}

func TestCompletion(t *testing.T) {
	k := start(t, `{"textDocument":{"completion":{"completionItem":{"documentationFormat":["markdown"]}}}}`)
	const head = "X:1\n%%score {RH LH}\nV:RH\nV:LH\nK:C\n"
	for _, c := range []struct {
		name, marked string
		has, lacks   []string
	}{
		{"fields of a header", "X:1\n‸", []string{"T:", "M:", "K:", "V:"}, []string{"w:"}},
		{"fields of the music", head + "w‸", []string{"w:", "V:", "K:"}, []string{"X:", "C:"}},
		{"nothing among the notes", head + "cde‸", nil, []string{"w:", "C:"}},
		{"keys", "X:1\nK:‸", []string{"C", "Bb", "F#m", "none"}, []string{"major"}},
		{"modes and clefs", "X:1\nK:D ‸", []string{"dorian", "clef=", "bass"}, []string{"Bb"}},
		{"keys in the music", head + "cde [K:‸", []string{"G"}, nil},
		{"clefs", "X:1\nV:LH clef=‸", []string{"bass", "treble"}, []string{"name="}},
		{"properties", "X:1\nV:LH ‸", []string{"name=", "clef="}, []string{"LH", "bass"}},
		{"voices", head + "V:‸", []string{"RH", "LH"}, []string{"name="}},
		{"voices in brackets", head + "[V:R‸", []string{"RH", "LH"}, nil},
		{"voices of %%score", strings.Replace(head, "{RH LH}", "{RH (LH‸", 1), []string{"RH", "LH"}, nil},
		{"voices of a harp", head + "%%fourfold harp RH ‸", []string{"RH", "LH"}, []string{"severity"}},
		{"decorations", head + "cde !‸", []string{"trill!", "arpeggio!", "4!"}, nil},
		{"decorations of U:", "X:1\nU:T=!‸", []string{"trill!"}, nil},
		{"annotations", head + "c \"‸", []string{"^R.H.", "_L.H."}, nil},
		{"%% lines", "X:1\n%%‸", []string{"score", "fourfold"}, []string{"RH"}},
		{"settings", "X:1\n%%fourfold ‸", []string{"harp", "severity", "set", "hints", "hand=", "instrument="}, []string{"cycle=", "hands/turn="}},
		{"values of a setting", "X:1\n%%fourfold hand=‸", []string{"standard", "small"}, []string{"hand="}},
		{"rules", "X:1\n%%fourfold severity ‸", []string{"hands=", "hands/turn="}, []string{"hand="}},
		{"severities", "X:1\n%%fourfold severity hands/turn=‸", []string{"off", "error", "hint"}, nil},
		{"numbers", "X:1\n%%fourfold set ‸", []string{"cycle="}, []string{"hand="}},
		{"hints", "X:1\n%%fourfold hints fingers=‸", []string{"on", "off"}, nil},
		{"remarks", "X:1\n% K:‸", nil, []string{"C"}},
		{"an empty file", "‸", []string{"X:"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, items := complete(t, k, c.marked)
			for _, label := range c.has {
				assert.Contains(t, items, label)
			}
			for _, label := range c.lacks {
				assert.NotContains(t, items, label)
			}
			if c.has == nil {
				assert.Empty(t, items)
			}
		})
	}
}

// An item replaces the word as far as it is typed, and says what it means.
func TestCompletionItems(t *testing.T) {
	for _, capabilities := range []string{`{"textDocument":{"completion":{"completionItem":{"documentationFormat":["markdown"]}}}}`, "{}"} {
		k := start(t, capabilities)
		text, items := complete(t, k, "X:1\nT:é🎵\n%%fourfold severity hands/t‸")
		turn := items["hands/turn="]
		assert.Equal(t, "hands/t", under(text, turn.TextEdit.Range))
		assert.Equal(t, "hands/turn=", turn.TextEdit.NewText)
		assert.NotEmpty(t, turn.Detail)

		text, items = complete(t, k, "X:1\nU:T=!tr‸")
		assert.Equal(t, "tr", under(text, items["trill!"].TextEdit.Range))

		_, items = complete(t, k, "X:1\nK:‸")
		assert.Equal(t, "D major, 2 sharps", items["D"].Detail)
		assert.Equal(t, "Pedals: D♮ C♯ B♮ | E♮ F♯ G♮ A♮", items["D"].Documentation.Value)
		assert.Equal(t, map[bool]string{true: "markdown", false: "plaintext"}[capabilities != "{}"], items["D"].Documentation.Kind)
	}
}

func TestSignatureHelp(t *testing.T) {
	k := start(t, "{}")
	ask := func(marked string) (label string) {
		offset := strings.Index(marked, "‸")
		text := strings.Replace(marked, "‸", "", 1)
		require.NoError(t, k.Open(uri, text))
		var help *struct {
			Signatures []struct {
				Label, Documentation string
				Parameters           []struct{ Label, Documentation string }
			}
			ActiveParameter int
		}
		require.NoError(t, k.Request(k.ctx, "textDocument/signatureHelp", map[string]any{
			"textDocument": docID(uri), "position": lsptest.At(text, offset)}, &help))
		if help == nil {
			return ""
		}
		require.Len(t, help.Signatures, 1)
		s := help.Signatures[0]
		assert.NotEmpty(t, s.Documentation)
		assert.NotEmpty(t, s.Parameters[help.ActiveParameter].Documentation)
		return s.Parameters[help.ActiveParameter].Label
	}
	assert.Equal(t, "tonic", ask("X:1\nK:‸"))
	assert.Equal(t, "mode", ask("X:1\nK:D ‸"))
	assert.Equal(t, "number", ask("X:1\nQ:1/4=9‸"))
	assert.Equal(t, "name=", ask("X:1\nV:RH name=\"Harp 1‸"))
	assert.Equal(t, "tonic", ask("X:1\nK:C\ncde [K:‸"))
	assert.Empty(t, ask("X:1\nT:‸"))
	assert.Empty(t, ask("X:1\nK:C\ncde‸"))
}
