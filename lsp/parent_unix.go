//go:build !windows

package lsp

import (
	"errors"
	"os"
	"syscall"
)

// alive asks the system without disturbing the process. One that belongs to
// somebody else is alive too.
func alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, syscall.EPERM)
}
