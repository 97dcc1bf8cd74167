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

	"go.lsp.dev/protocol"
)

// The position encodings that the server can count columns in.
const (
	UTF8  = "utf-8"
	UTF16 = "utf-16"
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
	Workspace struct {
		Configuration bool `json:"configuration"`
		WorkspaceEdit struct {
			DocumentChanges bool `json:"documentChanges"`
		} `json:"workspaceEdit"`
		DidChangeConfiguration struct {
			DynamicRegistration bool `json:"dynamicRegistration"`
		} `json:"didChangeConfiguration"`
		DidChangeWatchedFiles struct {
			DynamicRegistration bool `json:"dynamicRegistration"`
		} `json:"didChangeWatchedFiles"`
	} `json:"workspace"`
	TextDocument struct {
		Hover struct {
			ContentFormat []protocol.MarkupKind `json:"contentFormat"`
		} `json:"hover"`
		PublishDiagnostics struct {
			RelatedInformation bool `json:"relatedInformation"`
		} `json:"publishDiagnostics"`
		CodeAction CodeActionCapabilities `json:"codeAction"`
	} `json:"textDocument"`
}

// ServerCapabilities add to the library's what version 3.17 brought.
type ServerCapabilities struct {
	protocol.ServerCapabilities
	PositionEncoding string `json:"positionEncoding,omitempty"`
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
