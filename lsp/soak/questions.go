package soak

import (
	"encoding/json"

	"fourfold/lsp/lsptest"
)

// question is a request about a document, asked only of a server that declares the
// ability for it.
type question struct {
	method  string
	ability string // in the capabilities of initialize
	params  func(d *document, r typist) map[string]any
}

// questions are all requests that read.
var questions = []question{
	{"textDocument/hover", "hoverProvider", atPlace},
	{"textDocument/definition", "definitionProvider", atPlace},
	{"textDocument/references", "referencesProvider", func(d *document, r typist) map[string]any {
		p := atPlace(d, r)
		p["context"] = map[string]any{"includeDeclaration": true}
		return p
	}},
	{"textDocument/documentHighlight", "documentHighlightProvider", atPlace},
	{"textDocument/completion", "completionProvider", atPlace},
	{"textDocument/signatureHelp", "signatureHelpProvider", atPlace},
	{"textDocument/prepareRename", "renameProvider", atPlace},
	{"textDocument/rename", "renameProvider", func(d *document, r typist) map[string]any {
		p := atPlace(d, r)
		p["newName"] = "Q7"
		return p
	}},
	{"textDocument/selectionRange", "selectionRangeProvider", func(d *document, r typist) map[string]any {
		return map[string]any{"textDocument": d.name(), "positions": []any{d.position(r), d.position(r)}}
	}},
	{"textDocument/documentSymbol", "documentSymbolProvider", all},
	{"textDocument/foldingRange", "foldingRangeProvider", all},
	{"textDocument/codeLens", "codeLensProvider", all},
	{"textDocument/documentLink", "documentLinkProvider", all},
	{"textDocument/semanticTokens/full", "semanticTokensProvider", all},
	{"textDocument/semanticTokens/range", "semanticTokensProvider", inRange},
	{"textDocument/inlayHint", "inlayHintProvider", inRange},
	{"textDocument/formatting", "documentFormattingProvider", func(d *document, r typist) map[string]any {
		return map[string]any{"textDocument": d.name(), "options": formatting}
	}},
	{"textDocument/rangeFormatting", "documentRangeFormattingProvider", func(d *document, r typist) map[string]any {
		p := inRange(d, r)
		p["options"] = formatting
		return p
	}},
	{"textDocument/onTypeFormatting", "documentOnTypeFormattingProvider", func(d *document, r typist) map[string]any {
		p := atPlace(d, r)
		p["ch"], p["options"] = "|", formatting
		return p
	}},
	{"textDocument/codeAction", "codeActionProvider", func(d *document, r typist) map[string]any {
		p := inRange(d, r)
		at := d.position(r)
		p["range"] = lsptest.Range{Start: at, End: at}
		p["context"] = map[string]any{"diagnostics": []any{}, "only": []string{"quickfix"}}
		return p
	}},
	{"textDocument/diagnostic", "hoverProvider", all}, // answered also where it is not declared
	{"fourfold/review", "hoverProvider", all},         // a request of our own, which no ability stands for
}

var formatting = map[string]any{"tabSize": 4, "insertSpaces": true}

func all(d *document, _ typist) map[string]any { return map[string]any{"textDocument": d.name()} }

func atPlace(d *document, r typist) map[string]any {
	return map[string]any{"textDocument": d.name(), "position": d.position(r)}
}

func inRange(d *document, r typist) map[string]any {
	a, b := d.position(r), d.position(r)
	if b.Line < a.Line || b.Line == a.Line && b.Character < a.Character {
		a, b = b, a
	}
	return map[string]any{"textDocument": d.name(), "range": lsptest.Range{Start: a, End: b}}
}

// declared are the questions that a server says it answers.
func declared(capabilities map[string]json.RawMessage) (asked []question) {
	for _, q := range questions {
		switch string(capabilities[q.ability]) {
		case "", "null", "false":
		default:
			asked = append(asked, q)
		}
	}
	return asked
}

// comparable takes out of an answer what names a session or a version of a text.
func comparable(answer json.RawMessage) string {
	var v any
	if json.Unmarshal(answer, &v) != nil {
		return string(answer)
	}
	out, err := json.Marshal(bare(v))
	if err != nil {
		return string(answer)
	}
	return string(out)
}

func bare(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for _, key := range []string{"resultId", "version", "data"} {
			delete(v, key)
		}
		for key := range v {
			v[key] = bare(v[key])
		}
	case []any:
		for i := range v {
			v[i] = bare(v[i])
		}
	}
	return v
}
