package soak

import (
	"bytes"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"sync"

	"fourfold/lsp/lsptest"
)

// server is the binary under test, and what it writes to its standard error.
type server struct {
	*lsptest.Process
	log *log
}

// Memory is what a server takes up.
type Memory struct {
	Process int64 // in bytes, as the system counts; 0 where it does not tell
	Live    int64 // in MB: what was in use when garbage was last collected
}

// newServer starts a server that tells of each collection of garbage.
func newServer(binary string) (*server, error) {
	s := &server{log: &log{}}
	command := exec.Command(binary, "serve")
	command.Env = append(os.Environ(), "GODEBUG=gctrace=1")
	command.Stderr = s.log
	var err error
	s.Process, err = lsptest.StartCommand(command)
	return s, err
}

// stop ends a server, however it is.
func (s *server) stop() {
	_ = s.Close()
	_ = s.Command.Process.Kill()
	_ = s.Command.Wait() // killed: its exit code says nothing
}

func (s *server) memory() Memory {
	process, _ := s.Process.Memory()
	s.log.mu.Lock()
	defer s.log.mu.Unlock()
	return Memory{process, s.log.live}
}

// log takes in what a server writes, and keeps the end of it.
type log struct {
	mu    sync.Mutex
	line  []byte // not complete yet
	kept  []byte
	live  int64
	panic bool
}

// mostLogged is how much of a log is kept, in bytes.
const mostLogged = 20_000

// collection is a line about a collection of garbage: the third size is what is
// left in use. The form is that of https://pkg.go.dev/runtime.
var collection = regexp.MustCompile(`^gc \d+ @.* \d+->\d+->(\d+) MB`)

func (l *log) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.line = append(l.line, p...)
	for {
		i := bytes.IndexByte(l.line, '\n')
		if i < 0 {
			return len(p), nil
		}
		l.take(l.line[:i+1])
		l.line = append([]byte(nil), l.line[i+1:]...)
	}
}

func (l *log) take(line []byte) {
	if m := collection.FindSubmatch(line); m != nil {
		if n, err := strconv.ParseInt(string(m[1]), 10, 64); err == nil {
			l.live = n
		}
		return
	}
	l.panic = l.panic || bytes.Contains(line, []byte("panic")) || bytes.Contains(line, []byte("DATA RACE"))
	l.kept = append(l.kept, line...)
	if over := len(l.kept) - mostLogged; over > 0 {
		l.kept = append([]byte(nil), l.kept[over:]...)
	}
}

func (l *log) text() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return string(l.kept)
}

func (l *log) panicked() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.panic
}
