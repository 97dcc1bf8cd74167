package lsp

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// editorLazy asks for edits when an action is picked, and shows what cannot be taken.
const editorLazy = `{
	"workspace": {"workspaceEdit": {"documentChanges": true}},
	"textDocument": {
		"hover": {"contentFormat": ["markdown"]},
		"codeAction": {
			"isPreferredSupport": true, "disabledSupport": true, "dataSupport": true,
			"resolveSupport": {"properties": ["edit"]}
		}
	}
}`

// twoKinds is a part with three turns, a chord of five, and in the second tune a turn.
const twoKinds = `X:1
M:4/4
L:1/16
Q:1/4=160
%%score {RH LH}
V:RH name="Harp"
V:LH clef=bass
K:C
V:RH
DFdA z4 z8 | EGeB z4 z8 |
DFdA z4 [CEGce]8 |
V:LH
C,2E,2 G,2C2 E2C2 G,2E,2 | C,2E,2 G,2C2 E2C2 G,2E,2 |
C,2E,2 G,2C2 E2C2 G,2E,2 |

X:2
M:4/4
L:1/16
Q:1/4=160
K:C
V:RH name="Harp"
DFdA z4 z8 |
`

// given is the action whose title begins with some words.
func given(t *testing.T, actions []lsptest.Action, title string) lsptest.Action {
	t.Helper()
	for _, a := range actions {
		if strings.HasPrefix(a.Title, title) {
			return a
		}
	}
	require.Fail(t, "no such action", "%q in %q", title, titlesOf(actions))
	return lsptest.Action{}
}

func titlesOf(actions []lsptest.Action) (out []string) {
	for _, a := range actions {
		out = append(out, a.Title)
	}
	return out
}

// opened is a document and its actions at the n-th finding of a rule.
func opened(t *testing.T, k *talk, text, rule string, n int) []lsptest.Action {
	t.Helper()
	require.NoError(t, k.Open(uri, text))
	found := ofRule(k.diagnostics(uri), rule)
	require.Greater(t, len(found), n, rule)
	actions, err := k.Actions(k.ctx, uri, found[n].Range, found[n])
	require.NoError(t, err)
	return actions
}

// The capability is told to clients that can resolve, and to no others.
func TestResolveIsToldToThoseWhoCan(t *testing.T) {
	for capabilities, want := range map[string]bool{
		editorLazy: true, editorUTF16: false, `{}`: false,
		`{"textDocument":{"codeAction":{"resolveSupport":{"properties":["edit"]}}}}`:                       false, // would lose the data
		`{"textDocument":{"codeAction":{"dataSupport":true,"resolveSupport":{"properties":["command"]}}}}`: false,
	} {
		k := begin(t, nil)
		var result struct {
			Capabilities struct {
				CodeActionProvider struct{ ResolveProvider bool }
			}
		}
		require.NoError(t, k.Initialize(k.ctx, capabilities, &result))
		assert.Equal(t, want, result.Capabilities.CodeActionProvider.ResolveProvider, capabilities)
	}
}

// A picked action brings its edit, and the same one that clients get at once which
// cannot ask later.
func TestActionIsResolved(t *testing.T) {
	lazy, eager := start(t, editorLazy), start(t, editorUTF16)
	listed := opened(t, lazy, turning, "hands/turn", 0)
	direct := opened(t, eager, turning, "hands/turn", 0)
	require.NotEmpty(t, listed)
	for _, a := range listed {
		assert.False(t, a.HasEdit(), a.Title)
	}
	whole, err := lazy.Resolve(lazy.ctx, listed[0])
	require.NoError(t, err)
	assert.Equal(t, direct[0].Title, whole.Title)
	assert.Equal(t, direct[0].Edit, whole.Edit)
	assert.Equal(t, listed[0].Diagnostics, whole.Diagnostics, "what the client sent comes back")
	assert.True(t, whole.IsPreferred)
	require.NoError(t, lazy.Accept(whole))
	assert.Len(t, ofRule(lazy.diagnostics(uri), "hands/turn"), 1)
}

// Every action that is listed, resolved and accepted does what it says.
func TestEveryListedFixHolds(t *testing.T) {
	for _, rule := range []string{"hands/turn", "hands/too-many"} {
		k := start(t, editorLazy)
		n := 0
		for _, a := range opened(t, k, twoKinds, rule, 0) {
			if strings.Contains(a.Title, "without changing what sounds") {
				break // here it has nothing to do
			}
			n++
		}
		before := len(ofRule(k.diagnostics(uri), rule))
		for i := range n {
			require.NoError(t, k.Replace(uri, twoKinds))
			found := ofRule(k.diagnostics(uri), rule)
			actions, err := k.Actions(k.ctx, uri, found[0].Range, found[0])
			require.NoError(t, err)
			whole, err := k.Resolve(k.ctx, actions[i])
			require.NoError(t, err)
			require.NoError(t, k.Accept(whole))
			assert.Less(t, len(ofRule(k.diagnostics(uri), rule)), before, whole.Title)
		}
	}
}

// A document that has changed since, was closed, or was opened again with another
// text at the same version is answered with ContentModified.
func TestResolveOfAChangedDocument(t *testing.T) {
	const contentModified = -32801
	for name, change := range map[string]func(k *talk) error{
		"edited": func(k *talk) error {
			return k.Edit(uri, lsptest.TextEdit{NewText: "% a remark\n"})
		},
		"closed": func(k *talk) error {
			return k.Notify("textDocument/didClose", map[string]any{"textDocument": docID(uri)})
		},
		"opened again": func(k *talk) error {
			return k.Open(uri, strings.Replace(turning, "FAfc", "AFfc", 1))
		},
	} {
		t.Run(name, func(t *testing.T) {
			k := start(t, editorLazy)
			a := opened(t, k, turning, "hands/turn", 0)[0]
			require.NoError(t, change(k))
			k.fails("codeAction/resolve", a.Raw, contentModified)
		})
	}
	t.Run("edited and edited back", func(t *testing.T) {
		k := start(t, editorLazy)
		a := opened(t, k, turning, "hands/turn", 0)[0]
		remark := lsptest.TextEdit{NewText: "% a remark\n"}
		require.NoError(t, k.Edit(uri, remark))
		require.NoError(t, k.Edit(uri, lsptest.TextEdit{Range: lsptest.Range{End: lsptest.Position{Line: 1}}}))
		whole, err := k.Resolve(k.ctx, a)
		require.NoError(t, err)
		require.NoError(t, k.Accept(whole), "the edit is for the version of now")
	})
}

// Foreign or broken data costs an answer, never the session.
func TestResolveOfForeignData(t *testing.T) {
	k := start(t, editorLazy)
	require.NoError(t, k.Open(uri, turning))
	a, err := k.Resolve(k.ctx, lsptest.Action{Raw: json.RawMessage(`{"title":"mine","tags":[1]}`)})
	require.NoError(t, err)
	assert.JSONEq(t, `{"title":"mine","tags":[1]}`, string(a.Raw))
	k.fails("codeAction/resolve", json.RawMessage(`{"title":"","data":{"uri":"`+uri+`","text":"1","what":"fix"}}`), -32801)
	k.fails("codeAction/resolve", json.RawMessage(`{"title":"","data":{"uri":7}}`), -32602)
	k.fails("codeAction/resolve", json.RawMessage(`[]`), -32602)
}

// What has no fix says why, to editors that show what cannot be taken.
func TestDisabledActionSaysWhy(t *testing.T) {
	text := strings.ReplaceAll(twoKinds, "160", "320")
	text = strings.ReplaceAll(text, "DFdA z4 z8", "aaaa aaaa aaaa aaaa")
	found := 0
	for _, capabilities := range []string{editorLazy, editorUTF16} {
		k := start(t, capabilities)
		require.NoError(t, k.Open(uri, text))
		for _, d := range k.diagnostics(uri) {
			actions, err := k.Actions(k.ctx, uri, d.Range, d)
			require.NoError(t, err)
			for _, a := range actions {
				if a.Disabled == nil {
					continue
				}
				found++
				assert.Equal(t, editorLazy, capabilities)
				assert.NotEmpty(t, a.Disabled.Reason)
				assert.False(t, a.HasEdit())
				assert.False(t, a.IsPreferred)
				assert.Contains(t, a.Title, d.Code)
			}
		}
	}
	assert.Positive(t, found)
}

// The allowance is written on the line before, and the finding goes.
func TestAllowAction(t *testing.T) {
	for _, capabilities := range []string{editorLazy, editorUTF16} {
		k := start(t, capabilities)
		a := given(t, opened(t, k, twoKinds, "hands/turn", 2), "Allow hands/turn")
		if capabilities == editorLazy {
			var err error
			a, err = k.Resolve(k.ctx, a)
			require.NoError(t, err)
		}
		require.NoError(t, k.Accept(a))
		assert.Contains(t, k.Buffer(uri).Text, "% fourfold: allow hands/turn — meant as written\nDFdA z4 [CEGce]8 |")
		assert.Len(t, ofRule(k.diagnostics(uri), "hands/turn"), 3)
		assert.Len(t, ofRule(k.diagnostics(uri), "hands/too-many"), 1)
		assert.Empty(t, ofRule(k.diagnostics(uri), "fourfold/stale-allowance"))

		// With the notes mended the allowance is stale, a hint, and can be taken away.
		text := k.Buffer(uri).Text
		require.NoError(t, k.Replace(uri, strings.Replace(text, "DFdA z4 [C", "DFAd z4 [C", 1)))
		stale := ofRule(k.diagnostics(uri), "fourfold/stale-allowance")
		require.Len(t, stale, 1)
		assert.Equal(t, 4, stale[0].Severity)
	}
}

// All of one kind goes, in the tune or in the file; nothing else does.
func TestAllOfOneKindAction(t *testing.T) {
	for title, left := range map[string]int{"Mend all 3 places of hands/turn in this tune": 1, "Mend all 4 places of hands/turn in this file": 0} {
		for _, capabilities := range []string{editorLazy, editorUTF16} {
			k := start(t, capabilities)
			a := given(t, opened(t, k, twoKinds, "hands/turn", 0), title)
			if capabilities == editorLazy {
				var err error
				a, err = k.Resolve(k.ctx, a)
				require.NoError(t, err)
			}
			require.NoError(t, k.Accept(a))
			assert.Len(t, ofRule(k.diagnostics(uri), "hands/turn"), left, title)
			assert.Len(t, ofRule(k.diagnostics(uri), "hands/too-many"), 1, title)
		}
	}
}

// A selection is mended as one, and what lies outside stays.
func TestSelectionAction(t *testing.T) {
	k := start(t, editorLazy)
	require.NoError(t, k.Open(uri, twoKinds))
	k.diagnostics(uri)
	from, err := lsptest.Find(twoKinds, "EGeB", 0)
	require.NoError(t, err)
	to, err := lsptest.Find(twoKinds, "[CEGce]", 0)
	require.NoError(t, err)
	actions, err := k.Actions(k.ctx, uri, lsptest.Range{Start: from.Start, End: to.End})
	require.NoError(t, err)
	whole, err := k.Resolve(k.ctx, given(t, actions, "Mend the 3 places of the selection together"))
	require.NoError(t, err)
	require.NoError(t, k.Accept(whole))
	turns := ofRule(k.diagnostics(uri), "hands/turn")
	assert.Len(t, turns, 2, "before the selection and in the second tune")
	assert.Empty(t, ofRule(k.diagnostics(uri), "hands/too-many"))
	assert.Contains(t, k.Buffer(uri).Text, "DFdA z4 z8 | ")

	caret, err := k.Actions(k.ctx, uri, turns[0].Range, turns[0])
	require.NoError(t, err)
	for _, a := range caret {
		assert.NotContains(t, a.Title, "selection")
	}
}

// What an editor may do by itself on saving never changes what sounds.
func TestFixAllKeepsTheMusic(t *testing.T) {
	text := strings.Replace(twoKinds, "V:LH\nC,2E,2 G,2C2 E2C2 G,2E,2 | C,2E,2 G,2C2 E2C2 G,2E,2 |\nC,2E,2 G,2C2 E2C2 G,2E,2 |", "V:LH\nz16 | z16 |\nz16 |", 1)
	text = strings.Replace(text, "EGeB z4 z8", "^^F8 G8", 1)
	for _, capabilities := range []string{editorLazy, editorUTF16} {
		for _, kind := range []string{"source", "source.fixAll", "source.fixAll.fourfold"} {
			k := start(t, capabilities)
			require.NoError(t, k.Open(uri, text))
			before := k.diagnostics(uri)
			actions, err := k.ActionsOf(k.ctx, uri, lsptest.Range{}, map[string]any{"only": []string{kind}})
			require.NoError(t, err)
			require.Len(t, actions, 1)
			assert.Equal(t, "source.fixAll.fourfold", actions[0].Kind)
			a := actions[0]
			if capabilities == editorLazy {
				a, err = k.Resolve(k.ctx, a)
				require.NoError(t, err)
			}
			require.NoError(t, k.Accept(a))
			assert.Less(t, len(k.diagnostics(uri)), len(before))
			assert.Contains(t, k.Buffer(uri).Text, "G8 G8", "respelled")
			assert.Equal(t, sounding(t, text), sounding(t, k.Buffer(uri).Text))
		}
	}
}

// Where a change keeps what sounds, the sorted letters of a text are the same but for
// spelling; this leaves the two spellings of the test's one respelled note out.
func sounding(t *testing.T, text string) string {
	t.Helper()
	_, music, ok := strings.Cut(text, "K:C\n")
	require.True(t, ok)
	count := map[rune]int{}
	for _, r := range strings.NewReplacer("^^F", "G", "V:RH", "", "V:LH", "").Replace(music) {
		if strings.ContainsRune("ABCDEFGabcdefg", r) {
			count[r]++
		}
	}
	return fmt.Sprint(count)
}

// When the cursor moves by itself, nothing slow is worked out for an editor that
// would not ask for it later; and source actions are listed on demand alone.
func TestWhatIsListedByItself(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, twoKinds))
	d := ofRule(k.diagnostics(uri), "hands/turn")[0]
	moved, err := k.ActionsOf(k.ctx, uri, d.Range, map[string]any{"diagnostics": []any{d}, "triggerKind": 2})
	require.NoError(t, err)
	require.NotEmpty(t, moved)
	for _, a := range moved {
		assert.NotContains(t, a.Title, "Mend")
		assert.Equal(t, "quickfix", a.Kind)
	}
	asked, err := k.ActionsOf(k.ctx, uri, d.Range, map[string]any{"diagnostics": []any{d}, "triggerKind": 1})
	require.NoError(t, err)
	given(t, asked, "Mend all")
}

// No two actions of a menu read alike.
func TestTitlesDiffer(t *testing.T) {
	k := start(t, editorLazy)
	require.NoError(t, k.Open(uri, ferry(t)))
	k.diagnostics(uri)
	actions, err := k.Actions(k.ctx, uri, lsptest.Range{End: lsptest.Position{Line: 1000}})
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, a := range actions {
		assert.False(t, seen[a.Title], a.Title)
		seen[a.Title] = true
	}
}

// Of a bulk change that leaves something, the user is told what stays and why.
func TestWhatStaysIsSaid(t *testing.T) {
	text := strings.Replace(twoKinds, "EGeB z4 z8", "(E!2!GeB) z4 z8", 1)
	k := start(t, editorLazy)
	a := given(t, opened(t, k, text, "hands/turn", 0), "Mend all 3 places of hands/turn in this tune")
	whole, err := k.Resolve(k.ctx, a)
	require.NoError(t, err)
	require.NoError(t, k.Accept(whole))
	k.await(func(s lsptest.State) bool {
		for _, m := range s.Messages() {
			if strings.Contains(m, "left") && strings.Contains(m, "bar 2, hands/turn") {
				return true
			}
		}
		return false
	})
}

// The hover over a finding shows each change with the bar before and after, or says
// why there is none; the card of a note that fits shows neither.
func TestHoverShowsWhatWouldMend(t *testing.T) {
	for capabilities, heading := range map[string]string{editorLazy: "**What would mend hands/turn**", "{}": "What would mend hands/turn:"} {
		k := start(t, capabilities)
		require.NoError(t, k.Open(uri, turning))
		_, card, err := k.Hover(k.ctx, uri, ofRule(k.diagnostics(uri), "hands/turn")[0].Range.Start)
		require.NoError(t, err)
		assert.Contains(t, card, askActions, "nobody has asked yet")
		titles := titlesOf(opened(t, k, turning, "hands/turn", 0))
		_, card, err = k.Hover(k.ctx, uri, ofRule(k.diagnostics(uri), "hands/turn")[0].Range.Start)
		require.NoError(t, err)
		assert.Contains(t, card, heading)
		assert.Contains(t, card, "1. "+titles[0])
		assert.Contains(t, card, "% now\nFAfc FAfc GBgd GBgd |\n% then\nFAcf FAcf GBdg GBdg |\n")
		good, err := lsptest.Find(turning, "f8", 0)
		require.NoError(t, err)
		_, card, err = k.Hover(k.ctx, uri, good.Start)
		require.NoError(t, err)
		assert.NotEmpty(t, card)
		assert.NotContains(t, card, "would mend")
	}
	k := start(t, editorLazy)
	hopeless := strings.ReplaceAll(strings.ReplaceAll(twoKinds, "160", "320"), "DFdA z4 z8", "aaaa aaaa aaaa aaaa")
	opened(t, k, hopeless, "hands/restrike", 0)
	bad, err := lsptest.Find(hopeless, "aaaa", 0)
	require.NoError(t, err)
	_, card, err := k.Hover(k.ctx, uri, bad.Start)
	require.NoError(t, err)
	assert.Contains(t, card, "What would mend hands/restrike")
	assert.Contains(t, card, "None of ")
}

// What can be asked for where nothing is wrong: the pedal plan is written under the
// notes, a spelling asked for, and where nothing comes of it that is said.
func TestMusicActions(t *testing.T) {
	const text = `X:1
M:4/4
L:1/4
Q:1/4=60
%%score {RH LH}
V:RH name="Harp"
V:LH clef=bass
K:C
V:RH
f2 ^f2 | f4 |
V:LH
C,4 | C,4 |
`
	k := start(t, editorLazy)
	require.NoError(t, k.Open(uri, text))
	at := lsptest.Range{Start: lsptest.Position{Line: 9}, End: lsptest.Position{Line: 9}}
	list, err := k.ActionsOf(k.ctx, uri, at, map[string]any{"only": []string{"refactor"}})
	require.NoError(t, err)
	marks, err := k.Resolve(k.ctx, given(t, list, "Write the pedal plan"))
	require.NoError(t, err)
	require.NoError(t, k.Accept(marks))
	assert.Contains(t, k.Buffer(uri).Text, `"_D♮ C♮ B♮ | E♮ F♮ G♮ A♮""_F♯"C,4 | "_F♮"C,4 |`)
	list, err = k.ActionsOf(k.ctx, uri, at, map[string]any{"only": []string{"refactor.rewrite"}})
	require.NoError(t, err)
	spelled, err := k.Resolve(k.ctx, given(t, list, "Spell the whole part"))
	require.NoError(t, err)
	require.NoError(t, k.Accept(spelled))
	assert.Contains(t, k.Buffer(uri).Text, "f2 _g2 | f4 |")
	list, err = k.ActionsOf(k.ctx, uri, at, map[string]any{"only": []string{"refactor.rewrite"}})
	require.NoError(t, err)
	for _, a := range list {
		assert.NotContains(t, a.Title, "Spell the whole part", "no pedal moves now")
	}
}
