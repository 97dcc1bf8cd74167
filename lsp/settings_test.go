package lsp

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/harp"
	"fourfold/analysis/rules"
	"fourfold/lsp/lsptest"
)

func TestReadSettings(t *testing.T) {
	for _, c := range []struct {
		object     string
		want       func(*rules.Settings)
		complaints []string
	}{
		{`{}`, func(*rules.Settings) {}, nil},
		{`{"tempo":60,"defaultTempo":72.5}`, func(s *rules.Settings) { s.Tempo, s.DefaultTempo = 60, 72.5 }, nil},
		{`{"tempo":null,"hand":"small"}`, func(s *rules.Settings) { s.Hand = harp.Small() }, nil},
		{`{"instrument":"concert"}`, func(*rules.Settings) {}, nil},
		{`{"severity":{"hands/turn":"hint","feet":"off","notation/syntax":"error"}}`, func(s *rules.Settings) {
			s.Severity = map[string]rules.Severity{"hands/turn": rules.Hint, "feet": rules.Off, "notation/syntax": rules.Error}
		}, nil},
		{`{"tempo":"fast","hand":"huge","colour":1}`, func(*rules.Settings) {}, []string{
			"fourfold.colour is not known", "fourfold.hand: a hand is", "fourfold.tempo: quarters a minute"}},
		{`{"tempo":-1}`, func(*rules.Settings) {}, []string{"fourfold.tempo"}},
		{`{"severity":{"hands/turn":"loud","hands":"hint","hands/none":"off"}}`, func(s *rules.Settings) {
			s.Severity = map[string]rules.Severity{"hands": rules.Hint}
		}, []string{"fourfold.severity"}},
		{`{"severity":[]}`, func(*rules.Settings) {}, []string{"fourfold.severity"}},
		{`{"instrument":7}`, func(*rules.Settings) {}, []string{"fourfold.instrument: an instrument is one of"}},
	} {
		t.Run(c.object, func(t *testing.T) {
			var object map[string]json.RawMessage
			require.NoError(t, json.Unmarshal([]byte(c.object), &object))
			want := rules.Defaults()
			c.want(&want)
			got, complaints := readSettings(object)
			assert.Equal(t, want, got)
			require.Len(t, complaints, len(c.complaints), complaints)
			for i, part := range c.complaints {
				assert.Contains(t, complaints[i], part)
			}
		})
	}
}

// severities are those of the findings published last.
func severities(k *talk, want int) {
	k.t.Helper()
	k.await(func(s lsptest.State) bool {
		p, _ := s.Last(uri)
		turns := ofRule(p.Diagnostics, "hands/turn")
		return len(turns) > 0 && turns[0].Severity == want
	})
}

func levels(level string) string { return fmt.Sprintf(`{"severity":{"hands/turn":%q}}`, level) }

func TestSettingsPushed(t *testing.T) {
	k := begin(t, analysis.Read)
	params := map[string]any{"capabilities": struct{}{}, "initializationOptions": json.RawMessage(levels("error"))}
	require.NoError(t, k.Request(k.ctx, "initialize", params, nil))
	require.NoError(t, k.Open(uri, turning))
	severities(k, 1)
	push := func(settings string) {
		require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": json.RawMessage(settings)}))
	}
	push(`{"fourfold":` + levels("hint") + `}`)
	severities(k, 4)
	push(levels("information")) // bare
	severities(k, 3)
	for _, empty := range []string{`null`, `{}`, `[]`, `{"fourfold":null}`, `{"python":{"tempo":3}}`} {
		push(empty) // none of these means "back to the defaults"
	}
	push(`{"fourfold":{"severity":{"hands/turn":"error"},"colour":"red"}}`)
	severities(k, 1)
	k.await(func(s lsptest.State) bool {
		return len(s.Logs()) == 1 && strings.Contains(s.Logs()[0], "fourfold.colour")
	})
}

func TestSettingsPulled(t *testing.T) {
	k := begin(t, analysis.Read)
	k.SetSettings(levels("error"))
	require.NoError(t, k.Initialize(k.ctx, `{"workspace":{"configuration":true,"didChangeConfiguration":{"dynamicRegistration":true}}}`, nil))
	require.NoError(t, k.Open(uri, turning))
	severities(k, 1)
	k.await(func(s lsptest.State) bool { return s.Asked("client/registerCapability") == 1 })
	k.SetSettings(levels("hint"))
	require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": nil}))
	severities(k, 4)
	k.SetSettings(`null`)
	require.NoError(t, k.Notify("workspace/didChangeConfiguration", map[string]any{"settings": map[string]any{}}))
	k.await(func(s lsptest.State) bool { return s.Asked("workspace/configuration") == 3 })
	require.NoError(t, k.Edit(uri, lsptest.TextEdit{NewText: "%\n"}))
	assert.Equal(t, 4, ofRule(k.diagnostics(uri), "hands/turn")[0].Severity, "null keeps what was set")
}
