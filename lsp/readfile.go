package lsp

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// The longest files that are read from disk, in bytes. What an editor opens is not
// bounded by these.
const (
	maxScoreFile    = 16 << 20
	maxSettingsFile = 1 << 20
)

// readInside reads a plain file of a folder, named below it with slashes. Nothing
// outside the folder is read, whatever links the folder holds.
func readInside(folder, name string, limit int64) ([]byte, error) {
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	name = filepath.FromSlash(name)
	info, err := root.Stat(name)
	if err != nil {
		return nil, err
	}
	if err := readable(name, info, limit); err != nil {
		return nil, err
	}
	file, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	return readUpTo(file, limit)
}

// readPlain reads a file that is no link.
func readPlain(path string, limit int64) ([]byte, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return nil, err
	}
	if err := readable(path, info, limit); err != nil {
		return nil, err
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	return readUpTo(file, limit)
}

// readable refuses what cannot be read to its end in reasonable time.
func readable(name string, info os.FileInfo, limit int64) error {
	switch {
	case !info.Mode().IsRegular():
		return fmt.Errorf("%s is not a plain file", name)
	case info.Size() > limit:
		return fmt.Errorf("%s is longer than %d bytes", name, limit)
	}
	return nil
}

// readUpTo reads and closes; the file may have grown since it was looked at.
func readUpTo(file *os.File, limit int64) ([]byte, error) {
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, limit+1))
	if err == nil && int64(len(text)) > limit {
		err = fmt.Errorf("%s is longer than %d bytes", file.Name(), limit)
	}
	return text, err
}
