package lsp

import (
	"context"
	"encoding/json"
	"maps"
	"slices"

	"go.lsp.dev/protocol"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// features are what the client said about itself, as far as the answers of the
// features in files of their own depend on it.
type features struct {
	refreshesHints  bool // can be asked to ask for inlay hints again
	refreshesLenses bool // the same for code lenses
	showsDocuments  bool // can show a page
	appliesEdits    bool // changes the text where the server asks it to
	showsProgress   bool // takes tokens for progress
	markdownItems   bool // shows Markdown beside completions
	preparesRename  bool // asks before it renames
	symbolTrees     bool // takes an outline as a tree
	folds           int  // takes so many folds at most, 0 for any number
	rules           rulePage
	ceilings        bool // wants to be told what each tune asks
}

func featuresOf(p wire.InitializeParams) features {
	caps := p.Capabilities
	f := features{
		refreshesHints:  caps.Workspace.InlayHint.RefreshSupport,
		refreshesLenses: caps.Workspace.CodeLens.RefreshSupport,
		showsDocuments:  caps.Window.ShowDocument.Support,
		appliesEdits:    caps.Workspace.ApplyEdit,
		showsProgress:   caps.Window.WorkDoneProgress,
		markdownItems:   readsMarkdown(caps.TextDocument.Completion.CompletionItem.DocumentationFormat),
		preparesRename:  caps.TextDocument.Rename.PrepareSupport,
		symbolTrees:     caps.TextDocument.DocumentSymbol.Hierarchical,
		folds:           int(caps.TextDocument.FoldingRange.RangeLimit),
		ceilings:        caps.Experimental.Fourfold.Ceiling,
	}
	if caps.TextDocument.PublishDiagnostics.CodeDescriptionSupport {
		f.rules = rulePageOf(p.InitializationOptions)
	}
	return f
}

// offer tells the client of the features.
func (f features) offer(c *wire.ServerCapabilities) {
	c.InlayHintProvider = true
	c.CompletionProvider = &protocol.CompletionOptions{TriggerCharacters: completionTriggers}
	c.SignatureHelpProvider = &protocol.SignatureHelpOptions{TriggerCharacters: []string{":", " ", "="}}
	c.DocumentLinkProvider = &protocol.DocumentLinkOptions{}
	c.DefinitionProvider = true
	c.ReferencesProvider = true
	c.RenameProvider = true
	if f.preparesRename {
		c.RenameProvider = protocol.RenameOptions{PrepareProvider: true}
	}
	c.DocumentHighlightProvider = true
	c.DocumentFormattingProvider = true
	c.DocumentRangeFormattingProvider = true
	c.DocumentOnTypeFormattingProvider = &protocol.DocumentOnTypeFormattingOptions{FirstTriggerCharacter: formatAtBar, MoreTriggerCharacter: []string{formatAtLine}}
	c.DocumentSymbolProvider = true
	c.WorkspaceSymbolProvider = true
	c.FoldingRangeProvider = true
	c.SelectionRangeProvider = true
	c.SemanticTokensProvider = tokenLegend()
	c.CodeLensProvider = &protocol.CodeLensOptions{}
	c.ExecuteCommandProvider = &protocol.ExecuteCommandOptions{Commands: slices.Sorted(maps.Keys(commands()))}
}

// featureRequests are the requests that a feature answers, each in its own file.
func featureRequests() map[string]request {
	return map[string]request{
		wire.MethodInlayHint: (*session).inlayHints,
		wire.MethodReview:    (*session).reviewData,

		protocol.MethodTextDocumentDefinition:        (*session).definition,
		protocol.MethodTextDocumentReferences:        (*session).references,
		protocol.MethodTextDocumentPrepareRename:     (*session).prepareRename,
		protocol.MethodTextDocumentRename:            (*session).rename,
		protocol.MethodTextDocumentDocumentHighlight: (*session).highlights,
		protocol.MethodTextDocumentCompletion:        (*session).completion,
		protocol.MethodTextDocumentSignatureHelp:     (*session).signatureHelp,
		protocol.MethodTextDocumentDocumentLink:      (*session).documentLinks,
		protocol.MethodTextDocumentFormatting:        (*session).formatting,
		protocol.MethodTextDocumentRangeFormatting:   (*session).rangeFormatting,
		protocol.MethodTextDocumentOnTypeFormatting:  (*session).onTypeFormatting,
		protocol.MethodTextDocumentDocumentSymbol:    (*session).documentSymbols,
		protocol.MethodWorkspaceSymbol:               (*session).workspaceSymbols,
		protocol.MethodTextDocumentFoldingRange:      (*session).foldingRanges,
		wire.MethodSelectionRange:                    (*session).selectionRanges,
		protocol.MethodSemanticTokensFull:            (*session).semanticTokensFull,
		protocol.MethodSemanticTokensFullDelta:       (*session).semanticTokensDelta,
		protocol.MethodSemanticTokensRange:           (*session).semanticTokensRange,
		protocol.MethodTextDocumentCodeLens:          (*session).codeLens,
		protocol.MethodWorkspaceExecuteCommand:       (*session).executeCommand,
	}
}

// asked is what the client can do, as it stands now.
func (s *session) asked() features {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.editor.features
}

// subject decodes the params of a request about a document and gives the newest
// snapshot of it; id points into p.
func (s *session) subject(params json.RawMessage, p any, id *wire.DocumentID) (*snapshot, error) {
	if err := decode(params, p); err != nil {
		return nil, err
	}
	return s.snapshotOf(id.URI)
}

// withReading is work on what the analysis says about the snapshot.
func (n *snapshot) withReading(answer func(context.Context, *analysis.Reading) (any, error)) work {
	return func(ctx context.Context) (any, error) {
		reading, err := n.pass.read(ctx)
		if err != nil {
			return nil, err
		}
		return answer(ctx, reading)
	}
}

// music is what a reading knows about a place, and, before it is there, the music around.
type music interface {
	Score() *score.Score
	HandsNear(context.Context, score.Span) ([]*rules.Part, error)
}

// withMusic is work on the music of the snapshot, for what does not rest on the whole.
func (n *snapshot) withMusic(answer func(context.Context, music) (any, error)) work {
	whole := n.withReading(func(ctx context.Context, r *analysis.Reading) (any, error) { return answer(ctx, r) })
	return func(ctx context.Context) (any, error) {
		if g := n.pass.around(ctx); g != nil {
			return answer(ctx, g)
		}
		return whole(ctx)
	}
}

// readsMarkdown says whether a client that lists formats takes Markdown.
func readsMarkdown(formats []protocol.MarkupKind) bool {
	return slices.Contains(formats, protocol.Markdown)
}
