package lsp

import "os"

// alive: a process that has ended cannot be opened.
func alive(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	return p.Release() == nil
}
