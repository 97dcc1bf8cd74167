package lsp

import (
	"encoding/json"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/lsp/bench"
)

// BenchmarkFeatures measures the requests that an editor sends without being asked,
// on long scores that are analysed already: what each adds to that.
func BenchmarkFeatures(b *testing.B) {
	for _, bars := range []int{2000, 40000} { // four bars a line, two lines a system
		text := bench.Score(bars, 1)
		snap := &snapshot{uri: uri, lines: newLines(text, "utf-16"), told: &tokensTold{}}
		snap.pass = newPass((*analysis.Glimpse).Whole, rules.Defaults, snap.tree())
		_, err := snap.pass.read(b.Context())
		require.NoError(b, err)
		s := &session{docs: map[string]*document{uri: {latest: snap}}}
		lines := strings.Count(text, "\n")
		screen := fmt.Sprintf(`{"start":{"line":%d,"character":0},"end":{"line":%d,"character":0}}`, lines/2, lines/2+60)
		for _, r := range []struct {
			name   string
			do     request
			params string
		}{
			{"inlay hints of a screen", (*session).inlayHints, `"range":` + screen},
			{"tokens of a screen", (*session).semanticTokensRange, `"range":` + screen},
			{"all tokens", (*session).semanticTokensFull, ``},
			{"outline", (*session).documentSymbols, ``},
			{"folds", (*session).foldingRanges, ``},
			{"highlights", (*session).highlights, fmt.Sprintf(`"position":{"line":%d,"character":10}`, lines/2)},
			{"completion", (*session).completion, fmt.Sprintf(`"position":{"line":%d,"character":3}`, lines/2)},
			{"formatting a screen", (*session).rangeFormatting, `"range":` + screen},
			{"links", (*session).documentLinks, ``},
		} {
			params := `{"textDocument":{"uri":"` + uri + `"}`
			if r.params != "" {
				params += "," + r.params
			}
			b.Run(fmt.Sprintf("%s, %d lines", r.name, lines), func(b *testing.B) {
				runtime.GC() // what the reading left is not the request's
				for b.Loop() {
					w, err := r.do(s, json.RawMessage(params+"}"))
					require.NoError(b, err)
					_, err = w(b.Context())
					require.NoError(b, err)
				}
			})
		}
		b.Run(fmt.Sprintf("what it asks, %d lines", lines), func(b *testing.B) {
			runtime.GC()
			for b.Loop() {
				snap.pass.asked = askedOnce{}
				w, err := s.codeLens(json.RawMessage(`{"textDocument":{"uri":"` + uri + `"}}`))
				require.NoError(b, err)
				_, err = w(b.Context())
				require.NoError(b, err)
			}
		})
	}
}
