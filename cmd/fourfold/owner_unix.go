//go:build unix

package main

import (
	"os"
	"syscall"
)

// keepOwner gives a file the owner and group of another, as far as the system allows:
// only root may give files away.
func keepOwner(f *os.File, like os.FileInfo) {
	if s, ok := like.Sys().(*syscall.Stat_t); ok {
		_ = f.Chown(int(s.Uid), int(s.Gid))
	}
}
