package lsp

import (
	"context"
	"encoding/json"
	"slices"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"fourfold/analysis/settings"

	wire "fourfold/lsp/protocol"
)

// phase is how far a session has come.
type phase int

const (
	fresh   phase = iota // initialize is awaited
	running              // initialize has been answered, or is being
	over                 // shutdown has been asked for
)

// editor is what the client said about itself, as far as answers depend on it.
type editor struct {
	encoding        string // what columns count
	markdown        bool   // hover may be Markdown
	related         bool   // diagnostics may point elsewhere
	documentChanges bool   // edits may name the version they were made from
	configuration   bool   // settings can be asked for
	tellsSettings   bool   // can be asked to tell that settings changed
	watches         bool   // can be asked to watch files
	preferred       bool   // code actions may be preferred
	disabled        bool   // code actions may say why they cannot be taken
	resolves        bool   // the edit of a code action can be asked for later
	pulls           bool   // asks for diagnostics, and is not told them
	refreshesPull   bool   // can be told to ask for them again
	features        features
}

// admitsRequest says whether a request may come now.
func (s *session) admitsRequest(method string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.phase == fresh && method != protocol.MethodInitialize:
		return jsonrpc2.NewError(jsonrpc2.ServerNotInitialized, "initialize comes first")
	case s.phase == running && method == protocol.MethodInitialize:
		return jsonrpc2.NewError(jsonrpc2.InvalidRequest, "initialize comes once")
	case s.phase == over:
		return jsonrpc2.NewError(jsonrpc2.InvalidRequest, "the server is shut down; exit comes next")
	}
	return nil
}

// admitsNotification says whether a notification is heard now.
func (s *session) admitsNotification(method string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.phase == running || method == protocol.MethodExit
}

// initialize settles what both sides can do.
func (s *session) initialize(params json.RawMessage) (work, error) {
	var p wire.InitializeParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	caps := p.Capabilities
	formats := caps.TextDocument.Hover.ContentFormat
	s.mu.Lock()
	s.phase = running
	s.trace = p.Trace
	s.editor = editor{
		encoding:        encodingFor(s.options.Columns, caps.General.PositionEncodings),
		markdown:        slices.Contains(formats, protocol.Markdown),
		related:         caps.TextDocument.PublishDiagnostics.RelatedInformation,
		documentChanges: caps.Workspace.WorkspaceEdit.DocumentChanges,
		configuration:   caps.Workspace.Configuration,
		tellsSettings:   caps.Workspace.DidChangeConfiguration.DynamicRegistration,
		watches:         caps.Workspace.DidChangeWatchedFiles.DynamicRegistration,
		preferred:       caps.TextDocument.CodeAction.IsPreferredSupport,
		disabled:        caps.TextDocument.CodeAction.DisabledSupport,
		resolves:        resolves(caps.TextDocument.CodeAction),
		pulls:           caps.TextDocument.Diagnostic != nil,
		refreshesPull:   caps.TextDocument.Diagnostic != nil && caps.Workspace.Diagnostics.RefreshSupport,
		features:        featuresOf(p),
	}
	s.folders = foldersOf(p)
	result := s.abilities()
	s.mu.Unlock()

	if p.ClientInfo != nil {
		s.log.Info("client", zap.String("name", p.ClientInfo.Name), zap.String("version", p.ClientInfo.Version))
	}
	s.useSettings(p.InitializationOptions)
	if p.ProcessID != nil && *p.ProcessID > 0 {
		go s.watchParent(int(*p.ProcessID))
	}
	return func(context.Context) (any, error) { return result, nil }, nil
}

// encodingFor settles what columns count: what the user set; else bytes, which
// cost least, where the client can count them; else what it likes best, which is
// UTF-16 for all that do not say.
func encodingFor(set string, offered []string) string {
	if set != "" {
		return set
	}
	if slices.Contains(offered, wire.UTF8) {
		return wire.UTF8
	}
	for _, e := range offered {
		if e == wire.UTF16 || e == wire.UTF32 {
			return e
		}
	}
	return wire.UTF16
}

// abilities are what the server tells the client that it can do.
func (s *session) abilities() wire.InitializeResult {
	var pull *wire.DiagnosticOptions
	if s.editor.pulls {
		pull = &wire.DiagnosticOptions{Identifier: source, WorkspaceDiagnostics: true, WorkDoneProgress: true}
	}
	result := wire.InitializeResult{
		Capabilities: wire.ServerCapabilities{
			PositionEncoding:   s.editor.encoding,
			DiagnosticProvider: pull,
			ServerCapabilities: protocol.ServerCapabilities{
				TextDocumentSync: wire.SyncOptions{OpenClose: true, Change: protocol.TextDocumentSyncKindIncremental, Save: true},
				HoverProvider:    true,
				CodeActionProvider: protocol.CodeActionOptions{
					CodeActionKinds: []protocol.CodeActionKind{protocol.QuickFix, wire.SourceFixAllFourfold, protocol.RefactorRewrite},
					ResolveProvider: s.editor.resolves,
				},
				Workspace: &protocol.ServerCapabilitiesWorkspace{
					WorkspaceFolders: &protocol.ServerCapabilitiesWorkspaceFolders{Supported: true, ChangeNotifications: true},
				},
			},
		},
		ServerInfo: &protocol.ServerInfo{Name: "fourfold", Version: s.options.Version},
	}
	s.editor.features.offer(&result.Capabilities)
	return result
}

// initialized is the first moment at which the server may ask something.
func (s *session) initialized(json.RawMessage) error {
	s.mu.Lock()
	s.welcomed = true
	e := s.editor
	s.mu.Unlock()
	go func() {
		if e.tellsSettings {
			s.register(protocol.MethodWorkspaceDidChangeConfiguration, nil)
		}
		if e.watches {
			s.register(protocol.MethodWorkspaceDidChangeWatchedFiles, protocol.DidChangeWatchedFilesRegistrationOptions{
				Watchers: []protocol.FileSystemWatcher{{GlobPattern: "**/" + settings.FileName}, {GlobPattern: "**/*.abc"}}})
		}
		s.askSettings()
	}()
	return nil
}

// register asks the client to tell of something; one that refuses is worked with
// all the same.
func (s *session) register(method string, options any) {
	if err := s.client.register(method, options); err != nil {
		s.log.Warn("the client refused to register", zap.String("method", method), zap.Error(err))
	}
}

// shutdown is answered at once; exit, which follows, cuts short what runs.
func (s *session) shutdown(json.RawMessage) (work, error) {
	s.mu.Lock()
	s.phase = over
	s.mu.Unlock()
	return func(context.Context) (any, error) { return nil, nil }, nil
}

// exit ends the process.
func (s *session) exit(json.RawMessage) error {
	s.finish(s.exitCode())
	return nil
}

// exitCode is 0 after a shutdown and 1 without, as the protocol wants it.
func (s *session) exitCode() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.phase == over {
		return 0
	}
	return 1
}

// finish gives the exit code; the first one counts.
func (s *session) finish(code int) {
	select {
	case s.exited <- code:
	default:
	}
}

// setTrace changes what is told of the messages.
func (s *session) setTrace(params json.RawMessage) error {
	var p protocol.SetTraceParams
	if err := decode(params, &p); err != nil {
		return err
	}
	s.mu.Lock()
	s.trace = p.Value
	s.mu.Unlock()
	return nil
}
