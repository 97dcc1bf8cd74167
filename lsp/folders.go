package lsp

import (
	"encoding/json"
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"go.uber.org/zap"

	wire "fourfold/lsp/protocol"
)

// workspaceFolder is a folder that the editor has open.
type workspaceFolder struct {
	uri  string // as the client writes it
	path string // on this machine
}

// foldersOf are the folders that a client names when it begins: the newest way of
// the three counts. One that is not on this machine's disk is left out.
func foldersOf(p wire.InitializeParams) []workspaceFolder {
	switch {
	case p.WorkspaceFolders != nil:
		return onDisk(p.WorkspaceFolders)
	case p.RootURI != "":
		return onDisk([]wire.WorkspaceFolder{{URI: p.RootURI}})
	case p.RootPath != "":
		return []workspaceFolder{{uri: fileURI(p.RootPath), path: p.RootPath}}
	}
	return nil
}

func onDisk(list []wire.WorkspaceFolder) (folders []workspaceFolder) {
	for _, f := range list {
		if path, ok := filePath(f.URI); ok {
			folders = append(folders, workspaceFolder{f.URI, path})
		}
	}
	return folders
}

// didChangeWorkspaceFolders adds and removes folders. Which settings file is in
// force for a score may change with them.
func (s *session) didChangeWorkspaceFolders(params json.RawMessage) error {
	var p wire.DidChangeWorkspaceFoldersParams
	if err := decode(params, &p); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	left := slices.DeleteFunc(slices.Clone(s.folders), func(f workspaceFolder) bool {
		return slices.ContainsFunc(p.Event.Removed, func(r wire.WorkspaceFolder) bool { return r.URI == f.uri })
	})
	s.folders = append(left, onDisk(p.Event.Added)...)
	s.reread()
	return nil
}

// workspaceFolders are those of now.
func (s *session) workspaceFolders() []workspaceFolder {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.folders
}

// folderOf gives the innermost workspace folder that holds a file, and the file's
// name below it with slashes.
func folderOf(folders []workspaceFolder, file string) (folder workspaceFolder, name string, ok bool) {
	for _, f := range folders {
		rel, err := filepath.Rel(f.path, file)
		if err == nil && filepath.IsLocal(rel) && (!ok || len(f.path) > len(folder.path)) {
			folder, name, ok = f, filepath.ToSlash(rel), true
		}
	}
	return folder, name, ok
}

// scoreFile is a score on disk in a workspace folder.
type scoreFile struct {
	folder   workspaceFolder
	name     string // below the folder, with slashes
	size     int64
	modified time.Time
}

func (f scoreFile) path() string { return filepath.Join(f.folder.path, filepath.FromSlash(f.name)) }

// uri names the file as the client would: below its own name for the folder.
func (f scoreFile) uri() string {
	return strings.TrimSuffix(f.folder.uri, "/") + (&url.URL{Path: "/" + f.name}).EscapedPath()
}

// fileURI names a path.
func fileURI(name string) string {
	name = filepath.ToSlash(name)
	if !strings.HasPrefix(name, "/") { // c:/scores
		name = "/" + name
	}
	return (&url.URL{Scheme: "file", Path: name}).String()
}

// isScore says whether a name is that of a score.
func isScore(name string) bool { return strings.EqualFold(path.Ext(name), ".abc") }

// scores lists the scores of the workspace, each once, in the order of their names.
// Hidden folders are passed over, and so is every file that is not a plain one: a
// link may lead out of the workspace, and a device may never end.
func (s *session) scores() (files []scoreFile) {
	seen := map[string]bool{}
	for _, folder := range s.workspaceFolders() {
		err := eachScore(folder, func(f scoreFile) {
			if !seen[f.path()] {
				seen[f.path()] = true
				files = append(files, f)
			}
		})
		if err != nil {
			s.log.Warn("a folder cannot be read whole", zap.String("folder", folder.path), zap.Error(err))
		}
	}
	return files
}

func eachScore(folder workspaceFolder, visit func(scoreFile)) error {
	root, err := os.OpenRoot(folder.path)
	if err != nil {
		return err
	}
	defer root.Close()
	var unread error
	err = fs.WalkDir(root.FS(), ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			unread = err
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
		case d.IsDir() && name != "." && strings.HasPrefix(d.Name(), "."):
			return fs.SkipDir
		case d.Type().IsRegular() && isScore(name):
			if info, err := d.Info(); err == nil { // else it is gone by now
				visit(scoreFile{folder, name, info.Size(), info.ModTime()})
			}
		}
		return nil
	})
	if err == nil {
		err = unread
	}
	return err
}
