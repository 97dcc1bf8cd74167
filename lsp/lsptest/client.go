// Package lsptest is an editor for tests and benchmarks: it keeps buffers and
// versions, sends edits as editors do, applies the changes that the server
// offers and remembers what was published. It shares no code with the server,
// so that one can prove the other wrong. Tests wait for states, never for time.
package lsptest

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/textproto"
	"strconv"
	"sync"
)

// Client is one editor on one connection.
type Client struct {
	writing sync.Mutex
	out     io.WriteCloser

	mu         sync.Mutex
	changed    chan struct{} // closed and replaced when anything below changes
	lastID     int
	answers    map[string]Answer
	published  map[string][]Published
	lastOnly   bool // of published, logs and traces only the last are kept
	logs       []string
	messages   []string
	traces     []string
	progress   map[string][]json.RawMessage // values, by token as written
	settings   json.RawMessage              // what workspace/configuration is answered with
	asked      map[string]int               // how often the server called a method
	registered []string                     // params of client/registerCapability
	said       map[string][]json.RawMessage // params, by method
	replies    map[string]json.RawMessage   // what requests of the server are answered with
	closed     error
	buffers    map[string]*Buffer
}

// Answer is a response of the server.
type Answer struct {
	ID     json.RawMessage `json:"id"`
	Result json.RawMessage `json:"result"`
	Error  *Error          `json:"error"`
}

// Error is the error of a response.
type Error struct {
	Code    int             `json:"code"`
	Message string          `json:"message"`
	Data    json.RawMessage `json:"data"`
}

func (e *Error) Error() string { return fmt.Sprintf("%d: %s", e.Code, e.Message) }

// Published is one list of findings. Raw is its JSON.
type Published struct {
	URI         string
	Version     *int
	Diagnostics []Diagnostic
	Raw         string
}

// Diagnostic is one finding as published.
type Diagnostic struct {
	Range    Range           `json:"range"`
	Severity int             `json:"severity"`
	Code     string          `json:"code"`
	Source   string          `json:"source"`
	Message  string          `json:"message"`
	Related  json.RawMessage `json:"relatedInformation"`
}

// New talks over a pair of pipes until the server closes its end.
func New(in io.Reader, out io.WriteCloser) *Client {
	c := &Client{
		out: out, changed: make(chan struct{}),
		answers: map[string]Answer{}, published: map[string][]Published{},
		asked: map[string]int{}, progress: map[string][]json.RawMessage{}, buffers: map[string]*Buffer{},
		said: map[string][]json.RawMessage{}, replies: map[string]json.RawMessage{},
	}
	go c.listen(bufio.NewReader(in))
	return c
}

// listen takes in what the server sends.
func (c *Client) listen(in *bufio.Reader) {
	for {
		body, err := ReadFrame(in)
		c.mu.Lock()
		if err != nil {
			c.closed = err
		} else {
			c.take(body)
		}
		close(c.changed)
		c.changed = make(chan struct{})
		c.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// ReadFrame reads one message. It is as strict as the strictest editor.
func ReadFrame(in *bufio.Reader) ([]byte, error) {
	header, err := textproto.NewReader(in).ReadMIMEHeader()
	if err != nil {
		return nil, err
	}
	n, err := strconv.Atoi(header.Get("Content-Length"))
	if err != nil {
		return nil, err
	}
	body := make([]byte, n)
	_, err = io.ReadFull(in, body)
	return body, err
}

// take sorts one message. It is called with mu held.
func (c *Client) take(body []byte) {
	var m struct {
		Answer
		Method string          `json:"method"`
		Params json.RawMessage `json:"params"`
	}
	if err := json.Unmarshal(body, &m); err != nil {
		c.closed = fmt.Errorf("the server sent %q: %w", body, err)
		return
	}
	if m.Method == "" {
		c.answers[string(m.ID)] = m.Answer
		return
	}
	c.asked[m.Method]++
	c.said[m.Method] = append(c.said[m.Method], m.Params)
	switch m.Method {
	case "textDocument/publishDiagnostics":
		c.takePublished(m.Params)
	case "window/showMessage":
		c.messages = append(c.messages, textOf(m.Params))
	case "window/logMessage":
		c.logs = append(c.logs, textOf(m.Params))
	case "client/registerCapability":
		c.registered = append(c.registered, string(m.Params))
	case "$/progress":
		var p struct{ Token, Value json.RawMessage }
		if json.Unmarshal(m.Params, &p) == nil {
			c.progress[string(p.Token)] = append(c.progress[string(p.Token)], p.Value)
		}
	case "$/logTrace":
		c.traces = append(c.traces, textOf(m.Params))
	}
	if m.ID != nil {
		go c.answer(m.ID, m.Method, c.settings, c.replies[m.Method])
	}
}

func (c *Client) takePublished(params json.RawMessage) {
	p := Published{Raw: string(params)}
	if json.Unmarshal(params, &p) == nil {
		if c.lastOnly {
			c.published[p.URI] = nil
		}
		c.published[p.URI] = append(c.published[p.URI], p)
	}
}

func textOf(params json.RawMessage) string {
	var m struct{ Message string }
	if json.Unmarshal(params, &m) != nil {
		return string(params)
	}
	return m.Message
}

// answer answers a request of the server: with null unless Reply says otherwise.
func (c *Client) answer(id json.RawMessage, method string, settings, reply json.RawMessage) {
	var result any
	switch {
	case method == "workspace/configuration":
		result = []json.RawMessage{settings}
	case reply != nil:
		result = reply
	}
	_ = c.send(map[string]any{"jsonrpc": "2.0", "id": id, "result": result})
}

// Await waits until a condition on the client's state holds. The condition is
// called with the state locked: it must use only its argument.
func (c *Client) Await(ctx context.Context, condition func(State) bool) error {
	for {
		c.mu.Lock()
		holds, closed, changed := condition(State{c}), c.closed, c.changed
		c.mu.Unlock()
		switch {
		case holds:
			return nil
		case closed != nil:
			return fmt.Errorf("the connection ended: %w", closed)
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// State is what a condition may look at.
type State struct{ c *Client }

// Last is the list published last for a document.
func (s State) Last(uri string) (Published, bool) {
	all := s.c.published[uri]
	if len(all) == 0 {
		return Published{}, false
	}
	return all[len(all)-1], true
}

// Published are all lists published for a document, in their order.
func (s State) Published(uri string) []Published { return s.c.published[uri] }

// Logs are the texts of window/logMessage.
func (s State) Logs() []string { return s.c.logs }

// Messages are the texts of window/showMessage.
func (s State) Messages() []string { return s.c.messages }

// Traces are the texts of $/logTrace.
func (s State) Traces() []string { return s.c.traces }

// Progress are the values of $/progress for a token as written.
func (s State) Progress(token string) []json.RawMessage { return s.c.progress[token] }

// Registered are the params of client/registerCapability, as written.
func (s State) Registered() []string { return s.c.registered }

// Asked counts what the server sent of a method.
func (s State) Asked(method string) int { return s.c.asked[method] }

// Said are the params of all that the server sent of a method, in order.
func (s State) Said(method string) []json.RawMessage { return s.c.said[method] }

// Answer is the response to a request id as written.
func (s State) Answer(id string) (Answer, bool) {
	a, ok := s.c.answers[id]
	return a, ok
}

// Closed says that the server closed the connection.
func (s State) Closed() bool { return s.c.closed != nil }

// KeepLast forgets, from now on, every list of findings but the last of a document,
// so that a long run does not measure the client.
func (c *Client) KeepLast() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.lastOnly = true
}

// SetSettings is what the client answers about its settings from now on.
func (c *Client) SetSettings(object string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.settings = json.RawMessage(object)
}

// Reply is what requests of a method are answered with from now on, as JSON.
func (c *Client) Reply(method, result string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.replies[method] = json.RawMessage(result)
}

// Send writes raw bytes.
func (c *Client) Send(raw string) error {
	c.writing.Lock()
	defer c.writing.Unlock()
	_, err := io.WriteString(c.out, raw)
	return err
}

// Frame puts a header before a message.
func Frame(body string) string {
	return fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body)
}

func (c *Client) send(m any) error {
	body, err := json.Marshal(m)
	if err != nil {
		return err
	}
	return c.Send(Frame(string(body)))
}

// Notify sends a notification.
func (c *Client) Notify(method string, params any) error {
	return c.send(map[string]any{"jsonrpc": "2.0", "method": method, "params": params})
}

// Ask sends a request and gives its id as written.
func (c *Client) Ask(method string, params any) (string, error) {
	c.mu.Lock()
	c.lastID++
	id := c.lastID
	c.mu.Unlock()
	m := map[string]any{"jsonrpc": "2.0", "id": id, "method": method}
	if params != nil {
		m["params"] = params
	}
	return strconv.Itoa(id), c.send(m)
}

// Request sends a request, waits for the answer and puts its result into
// result, unless that is nil. An error of the server is an *Error.
func (c *Client) Request(ctx context.Context, method string, params, result any) error {
	id, err := c.Ask(method, params)
	if err != nil {
		return err
	}
	a, err := c.AwaitAnswer(ctx, id)
	if err != nil {
		return err
	}
	if a.Error != nil {
		return a.Error
	}
	if result == nil {
		return nil
	}
	return json.Unmarshal(a.Result, result)
}

// Answered says whether the answer to an id as written has come.
func (c *Client) Answered(id string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	_, ok := c.answers[id]
	return ok
}

// AwaitAnswer waits for the answer to an id as written, and forgets it.
func (c *Client) AwaitAnswer(ctx context.Context, id string) (Answer, error) {
	var a Answer
	err := c.Await(ctx, func(s State) (ok bool) {
		a, ok = s.Answer(id)
		delete(s.c.answers, id)
		return ok
	})
	return a, err
}

// Close closes the client's end of the connection.
func (c *Client) Close() error { return c.out.Close() }
