package lsptest

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
)

// Process is a server that runs as an editor would run it.
type Process struct {
	*Client
	Command *exec.Cmd
	Stderr  *bytes.Buffer // complete after Command.Wait
}

// Build builds a command of this module, named by its folder from the top, into
// a folder and gives the path of the binary.
func Build(folder, command string) (string, error) {
	binary := filepath.Join(folder, path.Base(command))
	out, err := exec.Command("go", "build", "-o", binary, "fourfold/"+command).CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("building %s: %w\n%s", command, err, out)
	}
	return binary, nil
}

// Start runs a server and connects to its standard input and output.
func Start(binary string, args ...string) (*Process, error) {
	return StartCommand(exec.Command(binary, args...))
}

// StartCommand is Start for a command that is ready to run. If it has a standard
// error of its own, Stderr stays empty.
func StartCommand(command *exec.Cmd) (*Process, error) {
	p := &Process{Command: command, Stderr: &bytes.Buffer{}}
	if command.Stderr == nil {
		command.Stderr = p.Stderr
	}
	in, err := p.Command.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := p.Command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := p.Command.Start(); err != nil {
		return nil, err
	}
	p.Client = New(out, in)
	return p, nil
}

var memory = regexp.MustCompile(`(?m)^VmRSS:\s+(\d+) kB`)

// Memory is how much of the process stands in memory now, in bytes; false where
// the system does not tell.
func (p *Process) Memory() (int64, bool) {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", p.Command.Process.Pid))
	if err != nil {
		return 0, false
	}
	m := memory.FindSubmatch(status)
	if m == nil {
		return 0, false
	}
	kb, err := strconv.ParseInt(string(m[1]), 10, 64)
	return kb << 10, err == nil
}
