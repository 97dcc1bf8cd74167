package lsp

import (
	"net/url"
	"path/filepath"
	"runtime"
	"strings"
)

// filePath gives the path of a file: URI; false for every other kind. The library
// has such a function, which panics on an unsaved document.
func filePath(uri string) (string, bool) {
	u, err := url.Parse(uri)
	if err != nil || u.Scheme != "file" || u.Path == "" {
		return "", false
	}
	path := u.Path
	if runtime.GOOS == "windows" {
		switch {
		case u.Host != "" && u.Host != "localhost":
			path = "//" + u.Host + path
		case len(path) > 2 && path[0] == '/' && path[2] == ':':
			path = strings.TrimPrefix(path, "/")
		}
	}
	return filepath.FromSlash(path), true
}
