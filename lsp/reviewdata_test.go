package lsp

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/lsp/lsptest"
)

// reviewAnswer is what a client reads of fourfold/review.
type reviewAnswer struct {
	URI     string
	Version *int
	Tunes   []struct {
		Number, Title string
		Range         lsptest.Range
		Players       []struct {
			Name, Asked, Holds, Comfortable, Who, Text string
			Load                                       float64
			Bar, Moves, Late, BusiestBar, BusiestMoves int
		}
	}
	Notes []struct {
		Tune, Player, Finger, Placing int
		Hand                          string
		Range                         lsptest.Range
	}
	Placings []struct {
		Hand, Why, Beat string
		Bar             int
		Notes           []int
		Range           lsptest.Range
	}
	Settings []struct {
		Range            lsptest.Range
		Bar              int
		Letters, Diagram string
		Moves            []struct{ Letter, From, To, Foot string }
	}
	Findings []struct {
		Rule, Message string
		Severity, Bar int
		Range         lsptest.Range
	}
}

func TestReviewData(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, pedalled))
	var r reviewAnswer
	require.NoError(t, k.Request(k.ctx, "fourfold/review", map[string]any{"textDocument": docID(uri)}, &r))
	assert.Equal(t, uri, r.URI)
	require.NotNil(t, r.Version)
	assert.Equal(t, 1, *r.Version)
	require.Len(t, r.Tunes, 1)
	assert.Equal(t, "Pedals", r.Tunes[0].Title)
	require.Len(t, r.Tunes[0].Players, 1)
	assert.Equal(t, "Harp", r.Tunes[0].Players[0].Name)
	assert.Equal(t, 1, r.Tunes[0].Players[0].Moves)
	assert.Equal(t, 2, r.Tunes[0].Players[0].BusiestBar)
	assert.Contains(t, r.Tunes[0].Players[0].Text, "♩ = 60 asked")

	require.Len(t, r.Notes, 10)
	assert.Equal(t, "C", under(pedalled, r.Notes[0].Range))
	for i, p := range r.Placings {
		assert.NotEmpty(t, p.Why)
		for _, n := range p.Notes {
			assert.Equal(t, i, r.Notes[n].Placing)
			assert.Equal(t, p.Hand, r.Notes[n].Hand)
		}
	}
	require.Len(t, r.Settings, 2)
	assert.Equal(t, "D♮ C♮ B♮ | E♮ F♯ G♮ A♮", r.Settings[0].Letters)
	assert.Equal(t, "───│─▁──", r.Settings[0].Diagram)
	assert.Empty(t, r.Settings[0].Moves)
	assert.Equal(t, "F,8", under(pedalled, r.Settings[1].Range))
	assert.Equal(t, "F♯", r.Settings[1].Moves[0].From)
	assert.Equal(t, "right", r.Settings[1].Moves[0].Foot)
}

func TestReviewDataOfARange(t *testing.T) {
	k := start(t, editorUTF16)
	require.NoError(t, k.Open(uri, turning))
	bar, err := lsptest.Find(turning, `"^é ♯ 🎵" FAfc`, 0)
	require.NoError(t, err)
	var all, some reviewAnswer
	require.NoError(t, k.Request(k.ctx, "fourfold/review", map[string]any{"textDocument": docID(uri)}, &all))
	require.NoError(t, k.Request(k.ctx, "fourfold/review", map[string]any{"textDocument": docID(uri), "range": bar}, &some))
	assert.Less(t, len(some.Notes), len(all.Notes))
	require.NotEmpty(t, some.Notes)
	require.NotEmpty(t, all.Findings)
	for _, f := range all.Findings {
		assert.NotEmpty(t, f.Message)
		assert.NotZero(t, f.Severity)
	}
	assert.Equal(t, all.Tunes, some.Tunes)
}

// The ceiling is told after each analysis, to clients that want it.
func TestCeilings(t *testing.T) {
	said := func(k *talk, version int) reviewAnswer {
		var told reviewAnswer
		k.await(func(s lsptest.State) bool {
			all := s.Said("fourfold/ceiling")
			if len(all) == 0 {
				return false
			}
			told = reviewAnswer{}
			return json.Unmarshal(all[len(all)-1], &told) == nil && told.Version != nil && *told.Version == version
		})
		return told
	}
	k := start(t, `{"experimental":{"fourfold":{"ceiling":true}}}`)
	require.NoError(t, k.Open(uri, turning))
	told := said(k, 1)
	require.Len(t, told.Tunes, 1)
	require.Len(t, told.Tunes[0].Players, 1)
	assert.Greater(t, told.Tunes[0].Players[0].Load, 1.0)
	assert.NotEmpty(t, told.Tunes[0].Players[0].Holds)
	require.NoError(t, k.Replace(uri, "X:1\nK:C\nC|\n"))
	assert.Empty(t, said(k, 2).Tunes[0].Players[0].Holds)

	k = start(t, "{}")
	require.NoError(t, k.Open(uri, turning))
	k.diagnostics(uri)
	var r reviewAnswer
	require.NoError(t, k.Request(k.ctx, "fourfold/review", map[string]any{"textDocument": docID(uri)}, &r))
	k.await(func(s lsptest.State) bool { return s.Asked("fourfold/ceiling") == 0 })
}
