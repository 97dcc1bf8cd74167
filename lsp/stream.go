package lsp

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"

	"go.lsp.dev/jsonrpc2"
)

// maxFrame is the longest message that is read, in bytes. It is far above any
// score; a longer one is passed over and refused.
const maxFrame = 256 << 20

// stream is the wire: messages behind Content-Length headers. It stands in for
// the library's own stream, which ends the connection over an id above 32 bits,
// a batch, half a message or a header in small letters, and confuses the id ""
// with 0.
//
// The client's ids are kept here as it wrote them. The library sees a number of
// ours for each request that is not yet answered.
type stream struct {
	in     *bufio.Reader
	out    io.Writer
	closer io.Closer

	mu       sync.Mutex
	lastID   int32
	requests map[jsonrpc2.ID]json.RawMessage // the client's, not yet answered
	latest   map[string]jsonrpc2.ID          // the same, by the client's id
	calls    map[jsonrpc2.ID]bool            // ours, not yet answered

	writing  sync.Mutex
	refusals chan struct{} // one taken for each that waits to be read
}

func newStream(rwc io.ReadWriteCloser) *stream {
	return &stream{
		in: bufio.NewReader(rwc), out: rwc, closer: rwc,
		requests: map[jsonrpc2.ID]json.RawMessage{},
		latest:   map[string]jsonrpc2.ID{},
		calls:    map[jsonrpc2.ID]bool{},
		refusals: make(chan struct{}, maxRequests),
	}
}

// message is any message of JSON-RPC 2.0 as it stands on the wire.
type message struct {
	Version string          `json:"jsonrpc"`
	ID      json.RawMessage `json:"id,omitempty"`
	Method  *string         `json:"method,omitempty"`
	Params  json.RawMessage `json:"params,omitempty"`
	Result  json.RawMessage `json:"result,omitempty"`
	Error   *jsonrpc2.Error `json:"error,omitempty"`
}

// Read gives the next message that can be understood. Those before it that
// cannot are answered with an error, as JSON-RPC says, and passed over; only
// the end of the input is an error here.
func (s *stream) Read(ctx context.Context) (jsonrpc2.Message, int64, error) {
	for {
		if err := ctx.Err(); err != nil {
			return nil, 0, err
		}
		data, err := s.frame()
		if err != nil {
			return nil, 0, err
		}
		if data == nil {
			s.refuse(jsonrpc2.InvalidRequest, fmt.Sprintf("a message may hold up to %d bytes", maxFrame))
			continue
		}
		if msg := s.decode(data); msg != nil {
			return msg, int64(len(data)), nil
		}
	}
}

// frame reads one header and body. What is not a header is passed over up to
// the next one, so that one wrong length does not end the session. A body that
// is too long gives nil.
func (s *stream) frame() ([]byte, error) {
	length := int64(-1)
	for {
		line, err := s.headerLine()
		if err != nil {
			return nil, err
		}
		if line == "" {
			if length >= 0 {
				break
			}
			continue
		}
		if n, ok := contentLength(line); ok {
			length = n
		}
	}
	if length > maxFrame {
		_, err := io.CopyN(io.Discard, s.in, length)
		return nil, err
	}
	var body bytes.Buffer
	body.Grow(int(min(length, 1<<20)))
	_, err := io.CopyN(&body, s.in, length)
	return body.Bytes(), err
}

// headerLine reads up to the next line feed. Of an endless line only the tail
// is kept: it can hold no more than one header.
func (s *stream) headerLine() (string, error) {
	var tail []byte
	for {
		part, err := s.in.ReadSlice('\n')
		tail = append(tail, part...)
		if errors.Is(err, bufio.ErrBufferFull) {
			tail = tail[max(0, len(tail)-256):]
			continue
		}
		return strings.TrimSpace(string(tail)), err
	}
}

// contentLength finds the header in a line, whatever its case and whatever
// rubbish stands before it.
func contentLength(line string) (int64, bool) {
	const name = "content-length:"
	at := strings.LastIndex(strings.ToLower(line), name)
	if at < 0 {
		return 0, false
	}
	n, err := strconv.ParseInt(strings.TrimSpace(line[at+len(name):]), 10, 64)
	return n, err == nil && n >= 0
}

// decode gives the library's form of a message, or refuses it and gives nil.
func (s *stream) decode(data []byte) jsonrpc2.Message {
	var m message
	if err := json.Unmarshal(data, &m); err != nil {
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			s.refuse(jsonrpc2.ParseError, "not JSON: "+err.Error())
		} else {
			s.refuse(jsonrpc2.InvalidRequest, "not a request: "+err.Error())
		}
		return nil
	}
	if m.Method == nil {
		return s.decodeResponse(m)
	}
	if m.ID == nil {
		n, err := jsonrpc2.NewNotification(*m.Method, m.Params)
		if err != nil {
			return nil
		}
		return n
	}
	if !isID(m.ID) {
		s.refuse(jsonrpc2.InvalidRequest, "an id is a number or a string")
		return nil
	}
	call, err := jsonrpc2.NewCall(s.admit(m.ID), *m.Method, m.Params)
	if err != nil {
		return nil
	}
	return call
}

// decodeResponse lets an answer through once, and only to a question that was
// asked: the library's reader would wait forever on the third of three.
func (s *stream) decodeResponse(m message) jsonrpc2.Message {
	var number int32
	if m.Result == nil && m.Error == nil {
		s.refuse(jsonrpc2.InvalidRequest, "neither a method nor a result")
		return nil
	}
	if json.Unmarshal(m.ID, &number) != nil {
		return nil
	}
	id := jsonrpc2.NewNumberID(number)
	s.mu.Lock()
	asked := s.calls[id]
	delete(s.calls, id)
	s.mu.Unlock()
	if !asked {
		return nil
	}
	var failed error
	if m.Error != nil {
		failed = m.Error
	}
	r, err := jsonrpc2.NewResponse(id, m.Result, failed)
	if err != nil {
		return nil
	}
	return r
}

func isID(raw json.RawMessage) bool {
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return false
	}
	switch v.(type) {
	case float64, string:
		return true
	}
	return false
}

// admit gives a request of the client a number of ours.
func (s *stream) admit(raw json.RawMessage) jsonrpc2.ID {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.lastID++
	id := jsonrpc2.NewNumberID(s.lastID)
	s.requests[id] = raw
	s.latest[string(raw)] = id
	return id
}

// requestOf finds the latest open request that the client gave this id.
func (s *stream) requestOf(raw json.RawMessage) (jsonrpc2.ID, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	id, ok := s.latest[string(raw)]
	return id, ok
}

// answered forgets a request and gives the id to answer with.
func (s *stream) answered(id jsonrpc2.ID) json.RawMessage {
	s.mu.Lock()
	defer s.mu.Unlock()
	raw := s.requests[id]
	delete(s.requests, id)
	if s.latest[string(raw)] == id {
		delete(s.latest, string(raw))
	}
	return raw
}

// refuse answers a message whose id is not known. It waits only behind many
// others: the reader goes on while the client is not reading.
func (s *stream) refuse(code jsonrpc2.Code, why string) {
	s.refusals <- struct{}{}
	go func() {
		defer func() { <-s.refusals }()
		// A refusal that cannot be written means that the client has gone,
		// which the reader finds out by itself.
		_, _ = s.send(message{ID: json.RawMessage("null"), Error: jsonrpc2.NewError(code, why)})
	}()
}

// Write sends a message whole: a context that has ended drops it, so callers
// pass the connection's and not the request's.
func (s *stream) Write(ctx context.Context, msg jsonrpc2.Message) (int64, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	switch msg := msg.(type) {
	case *jsonrpc2.Call:
		id := msg.ID()
		raw, err := json.Marshal(&id)
		if err != nil {
			return 0, err
		}
		s.mu.Lock()
		s.calls[id] = true
		s.mu.Unlock()
		return s.send(outgoing(raw, msg))
	case *jsonrpc2.Notification:
		return s.send(outgoing(nil, msg))
	case *jsonrpc2.Response:
		m := message{ID: s.answered(msg.ID())}
		if err := msg.Err(); err != nil {
			m.Error = asWireError(err)
		} else {
			m.Result = msg.Result()
		}
		return s.send(m)
	}
	return 0, fmt.Errorf("no such message: %T", msg)
}

func outgoing(id json.RawMessage, r jsonrpc2.Request) message {
	method := r.Method()
	m := message{ID: id, Method: &method}
	if p := r.Params(); string(p) != "null" {
		m.Params = p
	}
	return m
}

func asWireError(err error) *jsonrpc2.Error {
	var wire *jsonrpc2.Error
	if errors.As(err, &wire) {
		return wire
	}
	return jsonrpc2.NewError(jsonrpc2.InternalError, err.Error())
}

// send writes header and body in one piece. Params and result, which may be long, are
// JSON already and go out as they are.
func (s *stream) send(m message) (int64, error) {
	m.Version = jsonrpc2.Version
	name, long := "params", m.Params
	if m.Method == nil {
		name, long = "result", m.Result
	}
	m.Params, m.Result = nil, nil
	body, err := json.Marshal(m)
	if err != nil {
		return 0, fmt.Errorf("writing a message: %w", err)
	}
	pieces := [][]byte{nil, body}
	if long != nil { // it goes before the brace at the end
		pieces = [][]byte{nil, body[:len(body)-1], []byte(`,"` + name + `":`), long, []byte("}")}
	}
	length := 0
	for _, p := range pieces {
		length += len(p)
	}
	pieces[0] = fmt.Appendf(nil, "Content-Length: %d\r\n\r\n", length)
	frame := bytes.Join(pieces, nil)
	s.writing.Lock()
	defer s.writing.Unlock()
	n, err := s.out.Write(frame)
	return int64(n), err
}

// Close ends reading and writing.
func (s *stream) Close() error { return s.closer.Close() }
