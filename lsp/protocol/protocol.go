// Package protocol declares the messages of the Language Server Protocol 3.17
// that go.lsp.dev/protocol v0.12 lacks, or decodes in a way that loses what the
// client said. Everything else is used from there. When that library catches
// up, a type here can go and its users change one name.
//
// The shapes are those of the specification:
// https://microsoft.github.io/language-server-protocol/specifications/lsp/3.17/specification/
package protocol

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
)

// The position encodings that the server can count columns in.
const (
	UTF8  = "utf-8"
	UTF16 = "utf-16"
	UTF32 = "utf-32"
)

// Integer is a number that a client sent where the protocol wants a whole one.
// 3, 3.0 and 3e0 are the same; what does not fit 32 bits is moved to the
// nearest that does, so that a client's "end of everything" stays one.
type Integer int32

// UnmarshalJSON refuses fractions and everything that is not a number.
func (n *Integer) UnmarshalJSON(data []byte) error {
	if v, err := strconv.ParseInt(string(data), 10, 32); err == nil {
		*n = Integer(v)
		return nil
	}
	var v float64
	if err := json.Unmarshal(data, &v); err != nil {
		return fmt.Errorf("not a number: %.20s", data)
	}
	if v != math.Trunc(v) {
		return fmt.Errorf("not a whole number: %.20s", data)
	}
	*n = Integer(min(max(v, math.MinInt32), math.MaxInt32))
	return nil
}

// Position is a place as the client sent it. It may lie outside the text.
type Position struct {
	Line      Integer `json:"line"`
	Character Integer `json:"character"`
}

// Range is a half-open range as the client sent it.
type Range struct {
	Start Position `json:"start"`
	End   Position `json:"end"`
}

// ContentChange is one step of textDocument/didChange. Without a range Text is
// the whole document.
type ContentChange struct {
	Range *Range `json:"range"`
	Text  string `json:"text"`
}

// DocumentID names a document by the string that the client uses for it, and
// the version where the client tells one.
type DocumentID struct {
	URI     string   `json:"uri"`
	Version *Integer `json:"version"`
}

// DidOpenParams are those of textDocument/didOpen.
type DidOpenParams struct {
	TextDocument struct {
		DocumentID
		LanguageID string `json:"languageId"`
		Text       string `json:"text"`
	} `json:"textDocument"`
}

// DidChangeParams are those of textDocument/didChange.
type DidChangeParams struct {
	TextDocument   DocumentID      `json:"textDocument"`
	ContentChanges []ContentChange `json:"contentChanges"`
}

// DocumentParams are those of every message about a document as a whole.
type DocumentParams struct {
	TextDocument DocumentID `json:"textDocument"`
}

// PositionParams are those of every request about one place.
type PositionParams struct {
	TextDocument DocumentID `json:"textDocument"`
	Position     Position   `json:"position"`
}

// CancelParams names a request by the id that the client gave it, a number or
// a string.
type CancelParams struct {
	ID json.RawMessage `json:"id"`
}

// InitializeParams are those of initialize, as far as the server looks at them.
type InitializeParams struct {
	ProcessID             *int64              `json:"processId"`
	ClientInfo            *ClientInfo         `json:"clientInfo"`
	Capabilities          ClientCapabilities  `json:"capabilities"`
	InitializationOptions json.RawMessage     `json:"initializationOptions"`
	RootURI               string              `json:"rootUri"`
	RootPath              string              `json:"rootPath"`
	WorkspaceFolders      []WorkspaceFolder   `json:"workspaceFolders"` // nil where the client tells none
	Trace                 protocol.TraceValue `json:"trace"`
}

// ClientInfo says which editor it is.
type ClientInfo struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// ClientCapabilities are what the server asks of an editor. A field that is
// absent or null is something that the editor cannot do.
type ClientCapabilities struct {
	General struct {
		PositionEncodings []string `json:"positionEncodings"`
	} `json:"general"`
	Window struct {
		WorkDoneProgress bool `json:"workDoneProgress"`
		ShowDocument     struct {
			Support bool `json:"support"`
		} `json:"showDocument"`
	} `json:"window"`
	Workspace struct {
		ApplyEdit     bool `json:"applyEdit"`
		Configuration bool `json:"configuration"`
		WorkspaceEdit struct {
			DocumentChanges bool `json:"documentChanges"`
		} `json:"workspaceEdit"`
		DidChangeConfiguration Dynamic `json:"didChangeConfiguration"`
		DidChangeWatchedFiles  Dynamic `json:"didChangeWatchedFiles"`
		WorkspaceFolders       bool    `json:"workspaceFolders"`
		InlayHint              Refresh `json:"inlayHint"`
		CodeLens               Refresh `json:"codeLens"`
		Diagnostics            Refresh `json:"diagnostics"`
	} `json:"workspace"`
	TextDocument struct {
		Diagnostic *struct{} `json:"diagnostic"` // nil where the client cannot pull
		Hover      struct {
			ContentFormat []protocol.MarkupKind `json:"contentFormat"`
		} `json:"hover"`
		PublishDiagnostics struct {
			RelatedInformation     bool `json:"relatedInformation"`
			CodeDescriptionSupport bool `json:"codeDescriptionSupport"`
		} `json:"publishDiagnostics"`
		CodeAction CodeActionCapabilities `json:"codeAction"`
		Completion struct {
			CompletionItem struct {
				SnippetSupport      bool                  `json:"snippetSupport"`
				DocumentationFormat []protocol.MarkupKind `json:"documentationFormat"`
			} `json:"completionItem"`
		} `json:"completion"`
		SignatureHelp struct {
			SignatureInformation struct {
				DocumentationFormat  []protocol.MarkupKind `json:"documentationFormat"`
				ParameterInformation struct {
					LabelOffsetSupport bool `json:"labelOffsetSupport"`
				} `json:"parameterInformation"`
			} `json:"signatureInformation"`
		} `json:"signatureHelp"`
		DocumentSymbol struct {
			Hierarchical bool `json:"hierarchicalDocumentSymbolSupport"`
		} `json:"documentSymbol"`
		FoldingRange struct {
			LineFoldingOnly bool    `json:"lineFoldingOnly"`
			RangeLimit      Integer `json:"rangeLimit"`
		} `json:"foldingRange"`
		Rename struct {
			PrepareSupport bool `json:"prepareSupport"`
		} `json:"rename"`
		SemanticTokens struct {
			OverlappingTokenSupport bool `json:"overlappingTokenSupport"`
		} `json:"semanticTokens"`
	} `json:"textDocument"`
	Experimental struct {
		Fourfold struct {
			Ceiling bool `json:"ceiling"`
		} `json:"fourfold"`
	} `json:"experimental"`
}

// Dynamic says whether something can be registered after the start.
type Dynamic struct {
	DynamicRegistration bool `json:"dynamicRegistration"`
}

// Refresh says whether the server may ask the client to ask again.
type Refresh struct {
	RefreshSupport bool `json:"refreshSupport"`
}

// ServerCapabilities add to the library's what version 3.17 brought.
type ServerCapabilities struct {
	protocol.ServerCapabilities
	PositionEncoding   string             `json:"positionEncoding,omitempty"`
	DiagnosticProvider *DiagnosticOptions `json:"diagnosticProvider,omitempty"`
	InlayHintProvider  bool               `json:"inlayHintProvider,omitempty"`
}

// InitializeResult answers initialize.
type InitializeResult struct {
	Capabilities ServerCapabilities   `json:"capabilities"`
	ServerInfo   *protocol.ServerInfo `json:"serverInfo,omitempty"`
}

// SyncOptions say how documents are kept in step. The library's type leaves
// false and 0 out.
type SyncOptions struct {
	OpenClose bool                          `json:"openClose"`
	Change    protocol.TextDocumentSyncKind `json:"change"`
	Save      bool                          `json:"save"`
}

// PublishDiagnosticsParams are the findings on one document. Diagnostics must
// not be nil: editors take [] for none and do not understand null. A version
// of 0 is told; nil is for a client that gave none.
type PublishDiagnosticsParams struct {
	URI         string                `json:"uri"`
	Version     *Integer              `json:"version,omitempty"`
	Diagnostics []protocol.Diagnostic `json:"diagnostics"`
}

// WorkspaceFolder is a folder that the editor has open.
type WorkspaceFolder struct {
	URI string `json:"uri"`
}

// DidChangeWorkspaceFoldersParams are those of workspace/didChangeWorkspaceFolders.
type DidChangeWorkspaceFoldersParams struct {
	Event struct {
		Added   []WorkspaceFolder `json:"added"`
		Removed []WorkspaceFolder `json:"removed"`
	} `json:"event"`
}

// DidChangeWatchedFilesParams are those of workspace/didChangeWatchedFiles.
type DidChangeWatchedFilesParams struct {
	Changes []struct {
		URI string `json:"uri"`
	} `json:"changes"`
}

// The methods of diagnostics that are pulled.
const (
	MethodTextDocumentDiagnostic     = "textDocument/diagnostic"
	MethodWorkspaceDiagnostic        = "workspace/diagnostic"
	MethodWorkspaceDiagnosticRefresh = "workspace/diagnostic/refresh"
)

// CodeServerCancelled answers a pull that the server gave up.
const CodeServerCancelled jsonrpc2.Code = -32802

// DiagnosticOptions say that diagnostics can be pulled. The specification wants
// both flags, false or true.
type DiagnosticOptions struct {
	Identifier            string `json:"identifier"`
	InterFileDependencies bool   `json:"interFileDependencies"`
	WorkspaceDiagnostics  bool   `json:"workspaceDiagnostics"`
	WorkDoneProgress      bool   `json:"workDoneProgress"`
}

// DocumentDiagnosticParams are those of textDocument/diagnostic.
type DocumentDiagnosticParams struct {
	TextDocument     DocumentID `json:"textDocument"`
	PreviousResultID string     `json:"previousResultId"`
}

// DocumentDiagnosticReport is a full list, whose Items are not nil, or says that
// the list with the same id still holds, and has none.
type DocumentDiagnosticReport struct {
	Kind     string                 `json:"kind"`
	ResultID string                 `json:"resultId,omitempty"`
	Items    *[]protocol.Diagnostic `json:"items,omitempty"`

	// In a report on the workspace alone:
	URI     string    `json:"uri,omitempty"`
	Version **Integer `json:"version,omitempty"` // points to nil for a file that is not open
}

// Full is a report with all findings; nil is none.
func Full(id string, items []protocol.Diagnostic) DocumentDiagnosticReport {
	if items == nil {
		items = []protocol.Diagnostic{}
	}
	return DocumentDiagnosticReport{Kind: "full", ResultID: id, Items: &items}
}

// Unchanged is a report that leaves what the client has under an id.
func Unchanged(id string) DocumentDiagnosticReport {
	return DocumentDiagnosticReport{Kind: "unchanged", ResultID: id}
}

// For makes a report one on a document of the workspace.
func (r DocumentDiagnosticReport) For(uri string, version *Integer) DocumentDiagnosticReport {
	r.URI, r.Version = uri, &version
	return r
}

// WorkspaceDiagnosticParams are those of workspace/diagnostic. Tokens are numbers
// or strings, sent back as they came.
type WorkspaceDiagnosticParams struct {
	PreviousResultIDs []struct {
		URI   string `json:"uri"`
		Value string `json:"value"`
	} `json:"previousResultIds"`
	WorkDoneToken      json.RawMessage `json:"workDoneToken"`
	PartialResultToken json.RawMessage `json:"partialResultToken"`
}

// WorkspaceDiagnosticReport answers workspace/diagnostic, whole or in parts.
type WorkspaceDiagnosticReport struct {
	Items []DocumentDiagnosticReport `json:"items"`
}

// ProgressParams are those of $/progress.
type ProgressParams struct {
	Token json.RawMessage `json:"token"`
	Value any             `json:"value"`
}

// WorkDoneProgress is a begin, a report or an end. A percentage of 0 is told.
type WorkDoneProgress struct {
	Kind        protocol.WorkDoneProgressKind `json:"kind"`
	Title       string                        `json:"title,omitempty"`
	Message     string                        `json:"message,omitempty"`
	Cancellable bool                          `json:"cancellable,omitempty"`
	Percentage  *uint32                       `json:"percentage,omitempty"`
}

// Diagnostic is one that came back from the client: what survived of it. Raw
// is all of it, to be sent again as it came.
type Diagnostic struct {
	Range Range
	Code  string // "" where it was lost or is a number
	Raw   json.RawMessage
}

// UnmarshalJSON keeps the raw text beside what is understood of it.
func (d *Diagnostic) UnmarshalJSON(data []byte) error {
	var v struct {
		Range Range           `json:"range"`
		Code  json.RawMessage `json:"code"`
	}
	if err := json.Unmarshal(data, &v); err != nil {
		return err
	}
	*d = Diagnostic{Range: v.Range, Raw: append(json.RawMessage(nil), data...)}
	var code string
	if json.Unmarshal(v.Code, &code) == nil {
		d.Code = code
	}
	return nil
}

// DidChangeConfigurationParams are those of workspace/didChangeConfiguration.
type DidChangeConfigurationParams struct {
	Settings json.RawMessage `json:"settings"`
}

// LogTraceParams are those of $/logTrace.
type LogTraceParams struct {
	Message string `json:"message"`
	Verbose string `json:"verbose,omitempty"`
}

// RangeParams are those of every request about a stretch of a document.
type RangeParams struct {
	TextDocument DocumentID `json:"textDocument"`
	Range        Range      `json:"range"`
}

// The methods of version 3.17 that the library does not name.
const (
	MethodInlayHint        = "textDocument/inlayHint"
	MethodInlayHintRefresh = "workspace/inlayHint/refresh"
	MethodSelectionRange   = "textDocument/selectionRange"
)

// InlayHint is a short text that the editor shows inside a line. The tooltip is
// plain text.
type InlayHint struct {
	Position     protocol.Position `json:"position"`
	Label        string            `json:"label"`
	Tooltip      string            `json:"tooltip,omitempty"`
	PaddingLeft  bool              `json:"paddingLeft,omitempty"`
	PaddingRight bool              `json:"paddingRight,omitempty"`
}

// ExecuteCommandParams are those of workspace/executeCommand, the arguments as
// they came.
type ExecuteCommandParams struct {
	Command       string            `json:"command"`
	Arguments     []json.RawMessage `json:"arguments"`
	WorkDoneToken json.RawMessage   `json:"workDoneToken"`
}

// ProgressToken are the params of window/workDoneProgress/create and cancel. The
// token is a number or a string, as written.
type ProgressToken struct {
	Token json.RawMessage `json:"token"`
}

// ShowDocumentParams are those of window/showDocument, with the URI as it is to
// be read.
type ShowDocumentParams struct {
	URI       string `json:"uri"`
	External  bool   `json:"external"`
	TakeFocus bool   `json:"takeFocus"`
}

// QueryParams are those of workspace/symbol.
type QueryParams struct {
	Query string `json:"query"`
}

// SelectionRangeParams are those of textDocument/selectionRange.
type SelectionRangeParams struct {
	TextDocument DocumentID `json:"textDocument"`
	Positions    []Position `json:"positions"`
}

// SemanticTokensDeltaParams are those of textDocument/semanticTokens/full/delta.
type SemanticTokensDeltaParams struct {
	TextDocument     DocumentID `json:"textDocument"`
	PreviousResultID string     `json:"previousResultId"`
}

// ReferenceParams are those of textDocument/references.
type ReferenceParams struct {
	PositionParams
	Context struct {
		IncludeDeclaration bool `json:"includeDeclaration"`
	} `json:"context"`
}

// RenameParams are those of textDocument/rename.
type RenameParams struct {
	PositionParams
	NewName string `json:"newName"`
}

// PrepareRenameResult answers textDocument/prepareRename.
type PrepareRenameResult struct {
	Range       protocol.Range `json:"range"`
	Placeholder string         `json:"placeholder"`
}

// CodeRequestFailed is for a request that was understood and cannot be done.
const CodeRequestFailed jsonrpc2.Code = -32803

// OnTypeFormattingParams are those of textDocument/onTypeFormatting.
type OnTypeFormattingParams struct {
	PositionParams
	Ch string `json:"ch"` // what was typed
}

// DocumentLink is a stretch of text that leads somewhere, with the target as it is
// to be read.
type DocumentLink struct {
	Range  protocol.Range `json:"range"`
	Target string         `json:"target"`
}

// ApplyEditParams are those of workspace/applyEdit.
type ApplyEditParams struct {
	Label string        `json:"label"`
	Edit  WorkspaceEdit `json:"edit"`
}

// Applied is the client's answer, and the result of a command that asked for it.
type Applied struct {
	Applied bool `json:"applied"`
}

// SourceFixAll is the kind of the action that mends a whole document at once, and
// SourceFixAllFourfold that of this server's own, by which an editor can ask for it
// alone.
const (
	SourceFixAll         protocol.CodeActionKind = "source.fixAll"
	SourceFixAllFourfold protocol.CodeActionKind = "source.fixAll.fourfold"
)

// TriggerAutomatic is the trigger of a request that the user did not make: the
// cursor moved.
const TriggerAutomatic = 2

// CodeActionCapabilities are what an editor can do with code actions.
type CodeActionCapabilities struct {
	IsPreferredSupport bool `json:"isPreferredSupport"`
	DisabledSupport    bool `json:"disabledSupport"`
	DataSupport        bool `json:"dataSupport"`
	ResolveSupport     struct {
		Properties []string `json:"properties"`
	} `json:"resolveSupport"`
}

// CodeActionParams are those of textDocument/codeAction.
type CodeActionParams struct {
	TextDocument DocumentID `json:"textDocument"`
	Range        Range      `json:"range"`
	Context      struct {
		Diagnostics []Diagnostic              `json:"diagnostics"`
		Only        []protocol.CodeActionKind `json:"only"`
		TriggerKind Integer                   `json:"triggerKind"` // 0 where the client does not tell
	} `json:"context"`
}

// CodeAction is an offer to change the text. Diagnostics are those of the
// request, byte for byte. Edit is nil where the client asks for it by
// codeAction/resolve, with the data that it was given.
type CodeAction struct {
	Title       string                  `json:"title"`
	Kind        protocol.CodeActionKind `json:"kind"`
	Diagnostics []json.RawMessage       `json:"diagnostics,omitempty"`
	IsPreferred bool                    `json:"isPreferred,omitempty"`
	Disabled    *Disabled               `json:"disabled,omitempty"`
	Edit        *WorkspaceEdit          `json:"edit,omitempty"`
	Data        json.RawMessage         `json:"data,omitempty"`
}

// Disabled says why an action cannot be taken.
type Disabled struct {
	Reason string `json:"reason"`
}

// WorkspaceEdit holds one of its two forms: plain changes by URI, or changes
// that name the version they were made from.
type WorkspaceEdit struct {
	Changes         map[string][]protocol.TextEdit `json:"changes,omitempty"`
	DocumentChanges []TextDocumentEdit             `json:"documentChanges,omitempty"`
}

// TextDocumentEdit changes one version of one document. A version of nil is
// sent as null: the client told none.
type TextDocumentEdit struct {
	TextDocument struct {
		URI     string   `json:"uri"`
		Version *Integer `json:"version"`
	} `json:"textDocument"`
	Edits []protocol.TextEdit `json:"edits"`
}
