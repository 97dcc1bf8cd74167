// Package lsp is the language server: it keeps the editor's documents, asks
// the analysis about each version of them and says the answers in the words of
// the Language Server Protocol. It computes no music.
//
// Serve is the way in. A message takes this road: the stream reads it; the
// library's reader calls session.handle; a notification is done there and then,
// so that edits are applied in the order in which they were typed; a request is
// prepared there, which ties it to the snapshot of that moment, and worked on
// in a goroutine of its own, beside the reader. Each open document has one more
// goroutine, which analyses the newest version and publishes what it finds.
package lsp

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"maps"
	"runtime"
	"runtime/debug"
	"sync"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/analysis/settings"

	wire "fourfold/lsp/protocol"
)

// Options are what a session is started with.
type Options struct {
	Log     *zap.Logger // must not write to the client's pipe; nil logs nothing
	Version string      // told to the client
	Columns string      // what columns count whatever the client says: utf-8, utf-16 or utf-32; "" asks the client
	Pages   string      // folder for the pages of reviews; "" for the user's caches
}

// maxRequests is how many requests may be open at once. A client that asks more
// without reading the answers is read no further until it does.
const maxRequests = 512

// parting is how long an ending session waits for answers under way.
const parting = time.Second

// work is a prepared request: it runs beside the reader and gives the result.
type work func(context.Context) (any, error)

// request prepares work on the reader. Its error is the answer.
type request func(*session, json.RawMessage) (work, error)

// notification is done on the reader. Its error is logged.
type notification func(*session, json.RawMessage) error

// analyse reads the whole of a text whose music is known: it is the Glimpse's Whole, or a
// stand-in under test.
type analyse func(*analysis.Glimpse, context.Context) (*analysis.Reading, error)

// session is one connection from one client.
type session struct {
	options Options
	log     *zap.Logger
	conn    jsonrpc2.Conn
	stream  *stream
	client  client
	seed    maphash.Seed // of the marks of texts that travel to the client and back
	budget  budget       // of code actions
	checker *checker
	// priority is what work in the background stands back behind.
	priority priority
	titles   titles
	analyse  analyse

	requests      map[string]request
	notifications map[string]notification

	ctx    context.Context // ends with the session
	exited chan int        // the exit code, once
	slots  chan struct{}   // one taken for each open request
	trying chan struct{}   // one taken for each costly request that is worked on
	asides chan struct{}   // one taken for each word that waits to be read

	// mu guards what follows. The reader changes it; so does the answer to a
	// question about settings, which comes beside the reader.
	mu       sync.Mutex
	phase    phase
	welcomed bool // the client has sent initialized: it can be asked things
	cancels  map[jsonrpc2.ID]context.CancelFunc
	editor   editor
	settings settings.Apply // what the editor has set
	trace    protocol.TraceValue
	folders  []workspaceFolder
	docs     map[string]*document     // by the URI as the client writes it
	ending   map[string]chan struct{} // closed documents whose last list is not out yet
	births   int                      // how many documents have been opened
	// generation counts how often all settings were read afresh.
	generation int
	refresh    refresh

	complaints map[string]bool // about settings, told already

	tokens     map[string]context.CancelFunc // of work that tells its progress
	tokensMade int
	published  map[string]bool // scores that are not open and whose findings were told
}

// Serve talks to one client until it says exit, closes the connection or dies,
// or until ctx ends. It gives the exit code of the process: 0 after a proper
// shutdown or when ctx ends, 1 when the client went without one.
func Serve(ctx context.Context, rwc io.ReadWriteCloser, options Options) int {
	return newSession(ctx, rwc, options, (*analysis.Glimpse).Whole).run(ctx)
}

func newSession(ctx context.Context, rwc io.ReadWriteCloser, options Options, read analyse) *session {
	log := options.Log
	if log == nil {
		log = zap.NewNop()
	}
	stream := newStream(rwc)
	conn := jsonrpc2.NewConn(stream)
	s := &session{
		options: options, log: log, stream: stream, conn: conn, analyse: read, checker: newChecker(),
		seed:     maphash.MakeSeed(),
		budget:   usualBudget(),
		exited:   make(chan int, 1),
		slots:    make(chan struct{}, maxRequests),
		trying:   make(chan struct{}, runtime.GOMAXPROCS(0)),
		asides:   make(chan struct{}, maxAside),
		cancels:  map[jsonrpc2.ID]context.CancelFunc{},
		settings: func(*rules.Settings) {},
		docs:     map[string]*document{},
		ending:   map[string]chan struct{}{},

		complaints: map[string]bool{},
		tokens:     map[string]context.CancelFunc{},
		published:  map[string]bool{},
	}
	s.requests = map[string]request{
		protocol.MethodInitialize:             (*session).initialize,
		protocol.MethodShutdown:               (*session).shutdown,
		protocol.MethodTextDocumentHover:      (*session).hover,
		protocol.MethodTextDocumentCodeAction: (*session).codeAction,
		methodResolve:                         (*session).resolve,
		wire.MethodTextDocumentDiagnostic:     (*session).documentDiagnostic,
		wire.MethodWorkspaceDiagnostic:        (*session).workspaceDiagnostic,
	}
	maps.Copy(s.requests, featureRequests())
	s.notifications = map[string]notification{
		protocol.MethodInitialized:                        (*session).initialized,
		protocol.MethodExit:                               (*session).exit,
		protocol.MethodCancelRequest:                      (*session).cancelRequest,
		protocol.MethodSetTrace:                           (*session).setTrace,
		protocol.MethodTextDocumentDidOpen:                (*session).didOpen,
		protocol.MethodTextDocumentDidChange:              (*session).didChange,
		protocol.MethodTextDocumentDidSave:                (*session).didSave,
		protocol.MethodTextDocumentDidClose:               (*session).didClose,
		protocol.MethodWorkspaceDidChangeConfiguration:    (*session).didChangeConfiguration,
		protocol.MethodWorkDoneProgressCancel:             (*session).cancelProgress,
		protocol.MethodWorkspaceDidChangeWatchedFiles:     (*session).didChangeWatchedFiles,
		protocol.MethodWorkspaceDidChangeWorkspaceFolders: (*session).didChangeWorkspaceFolders,
	}
	return s
}

// run serves until the end and waits, but not for ever, for what is under way.
func (s *session) run(ctx context.Context) int {
	ctx, end := context.WithCancel(ctx)
	defer end()
	s.ctx = ctx
	s.client = client{conn: s.conn, ctx: ctx}
	s.conn.Go(ctx, s.handle)

	code := 0
	select {
	case code = <-s.exited:
	case <-s.conn.Done():
		select {
		case code = <-s.exited: // both at once: exit was the last word
		default:
			s.log.Info("the client closed the connection", zap.Error(s.conn.Err()))
			code = s.exitCode()
		}
	case <-ctx.Done():
	}
	s.part()
	end()
	_ = s.conn.Close() // it may be closed already
	return code
}

// part cancels the open requests and lets their answers out.
func (s *session) part() {
	s.mu.Lock()
	for _, cancel := range s.cancels {
		cancel()
	}
	s.mu.Unlock()
	limit := time.After(parting)
	for range maxRequests { // who holds every slot knows that no request is open
		select {
		case s.slots <- struct{}{}:
		case <-s.conn.Done():
			return
		case <-limit:
			return
		}
	}
}

// handle is called by the library's reader with every message in turn.
func (s *session) handle(_ context.Context, reply jsonrpc2.Replier, r jsonrpc2.Request) error {
	if call, ok := r.(*jsonrpc2.Call); ok {
		s.request(reply, call)
	} else {
		s.notify(r)
	}
	return nil // an error here would end the connection
}

// notify does a notification on the reader.
func (s *session) notify(r jsonrpc2.Request) {
	do, known := s.notifications[r.Method()]
	if !known || !s.admitsNotification(r.Method()) {
		s.log.Debug("ignored", zap.String("method", r.Method()))
		return
	}
	begun := s.begun(r.Method())
	_, err := s.guard(r.Method(), func() (any, error) { return nil, do(s, r.Params()) })
	if err != nil {
		s.log.Error("notification failed", zap.String("method", r.Method()), zap.Error(err))
	}
	s.told(begun, err)
}

// request prepares a request on the reader, works on it beside the reader and
// answers it once, whatever happens.
func (s *session) request(reply jsonrpc2.Replier, call *jsonrpc2.Call) {
	begun := s.begun(call.Method())
	ctx, cancel := context.WithCancel(s.ctx)
	select {
	case s.slots <- struct{}{}:
	case <-s.ctx.Done():
		cancel()
		return
	}
	s.mu.Lock()
	s.cancels[call.ID()] = cancel
	s.mu.Unlock()

	prepared, err := s.prepare(call)
	answered := func() {}
	if !inBackground(call.Method()) {
		answered = s.priority.begin()
	}
	go func() {
		defer func() {
			cancel()
			answered()
			s.mu.Lock()
			delete(s.cancels, call.ID())
			s.mu.Unlock()
			<-s.slots
		}()
		var result any
		if err == nil {
			result, err = s.inTurn(ctx, call.Method(), prepared)
		}
		if err != nil && ctx.Err() != nil && errors.Is(err, context.Canceled) {
			err = jsonrpc2.NewError(protocol.CodeRequestCancelled, "cancelled")
		}
		// The request's own context may have ended; the answer must go out. One that
		// cannot be written as JSON is an error of ours.
		if e := reply(s.ctx, result, err); e != nil {
			s.log.Error("no answer", zap.String("method", call.Method()), zap.Error(e))
			_ = reply(s.ctx, nil, jsonrpc2.Errorf(jsonrpc2.InternalError, "internal error in %s", call.Method()))
		}
		s.told(begun, err)
	}()
}

// inBackground says whether a request may check the whole workspace, which stands
// back behind all other requests.
func inBackground(method string) bool {
	return method == wire.MethodWorkspaceDiagnostic || method == protocol.MethodWorkspaceExecuteCommand
}

func (s *session) prepare(call *jsonrpc2.Call) (work, error) {
	if err := s.admitsRequest(call.Method()); err != nil {
		return nil, err
	}
	do, known := s.requests[call.Method()]
	if !known {
		return nil, jsonrpc2.Errorf(jsonrpc2.MethodNotFound, "no such method: %s", call.Method())
	}
	var w work
	_, err := s.guard(call.Method(), func() (any, error) {
		var err error
		w, err = do(s, call.Params())
		return nil, err
	})
	return w, err
}

// guard turns a panic into an internal error: one answer is lost, no more.
func (s *session) guard(method string, do func() (any, error)) (result any, err error) {
	defer func() {
		if p := recover(); p != nil {
			s.log.Error("panic", zap.String("method", method), zap.Any("panic", p), zap.ByteString("stack", debug.Stack()))
			result, err = nil, jsonrpc2.Errorf(jsonrpc2.InternalError, "internal error in %s", method)
		}
	}()
	return do()
}

// cancelRequest ends the context of an open request. The id is compared as the
// client wrote it.
func (s *session) cancelRequest(params json.RawMessage) error {
	var p wire.CancelParams
	if err := decode(params, &p); err != nil {
		return err
	}
	id, ok := s.stream.requestOf(p.ID)
	if !ok {
		return nil // answered already
	}
	s.mu.Lock()
	cancel := s.cancels[id]
	s.mu.Unlock()
	if cancel != nil {
		cancel()
	}
	return nil
}

// begun is a message that is being worked on, and how much the client wanted to
// know of it when it came.
type begun struct {
	method string
	at     time.Time
	trace  protocol.TraceValue
}

func (s *session) begun(method string) begun {
	s.mu.Lock()
	defer s.mu.Unlock()
	return begun{method, time.Now(), s.trace}
}

// told logs how long a message took, to the client as well if it wants to know.
func (s *session) told(b begun, err error) {
	took := time.Since(b.at)
	s.log.Debug("done", zap.String("method", b.method), zap.Duration("took", took), zap.Error(err))
	if b.trace != protocol.TraceMessage && b.trace != protocol.TraceVerbose {
		return
	}
	p := wire.LogTraceParams{Message: fmt.Sprintf("%s took %.1f ms", b.method, took.Seconds()*1000)}
	if b.trace == protocol.TraceVerbose && err != nil {
		p.Verbose = err.Error()
	}
	s.aside(func() { s.client.notify(protocol.MethodLogTrace, p) })
}

// maxAside is how many words to the client that nothing depends on may wait for it
// to read; more are dropped.
const maxAside = 64

// aside says something to the client without waiting for it.
func (s *session) aside(say func()) {
	select {
	case s.asides <- struct{}{}:
		go func() {
			defer func() { <-s.asides }()
			say()
		}()
	default:
		s.log.Debug("the client does not read: left unsaid")
	}
}

// decode reads params, which may be absent where p has no required field.
func decode(params json.RawMessage, p any) error {
	if len(params) == 0 {
		params = json.RawMessage("null")
	}
	if err := json.Unmarshal(params, p); err != nil {
		return jsonrpc2.Errorf(jsonrpc2.InvalidParams, "invalid params: %v", err)
	}
	return nil
}
