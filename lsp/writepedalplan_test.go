package lsp

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
	"fourfold/parser/score"
)

const editorApplies = `{"workspace":{"applyEdit":true,"workspaceEdit":{"documentChanges":true}}}`

// The plan comes to the editor as an edit; once it is in the score there is nothing
// to write.
func TestWritePedalPlan(t *testing.T) {
	k := start(t, editorApplies)
	k.Reply("workspace/applyEdit", `{"applied":true}`)
	text := pedalled + "\n" + strings.Replace(pedalled, "X:1", "X:2", 1)
	require.NoError(t, k.Open(uri, text))
	var result struct{ Applied bool }
	require.NoError(t, k.execute("fourfold.writePedalPlan", &result, uri))
	assert.True(t, result.Applied)
	var params struct {
		Label string
		Edit  json.RawMessage
	}
	k.await(func(s lsptest.State) bool {
		said := s.Said("workspace/applyEdit")
		return len(said) == 1 && json.Unmarshal(said[0], &params) == nil
	})
	assert.NotEmpty(t, params.Label)
	var a lsptest.Action
	require.NoError(t, json.Unmarshal(params.Edit, &a.Edit))
	require.NoError(t, k.Accept(a))
	got := k.Buffer(uri).Text
	assert.True(t, score.SameNotes(text, got))
	assert.Equal(t, 2, strings.Count(got, "F♮"), got)

	require.NoError(t, k.execute("fourfold.writePedalPlan", &result, uri))
	assert.False(t, result.Applied)
	k.await(func(s lsptest.State) bool {
		said := s.Said("window/showMessage")
		return len(said) == 1 && strings.Contains(string(said[0]), "all marks") && s.Asked("workspace/applyEdit") == 1
	})
}

func TestWritePedalPlanIsNotTaken(t *testing.T) {
	for _, c := range []struct{ capabilities, text, word string }{
		{"{}", pedalled, "fourfold pedals"},
		{editorApplies, "X:1\nV:1 name=Flute\nK:C\nC|\n", "no part"},
		{editorApplies, pedalled, "did not take"},
	} {
		k := start(t, c.capabilities)
		k.Reply("workspace/applyEdit", `{"applied":false,"failureReason":"busy"}`)
		require.NoError(t, k.Open(uri, c.text))
		require.NoError(t, k.execute("fourfold.writePedalPlan", nil, uri))
		k.await(func(s lsptest.State) bool {
			said := s.Said("window/showMessage")
			return len(said) == 1 && strings.Contains(string(said[0]), c.word)
		})
	}
}
