package protocol

import (
	"encoding/json"

	"go.lsp.dev/protocol"
)

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
