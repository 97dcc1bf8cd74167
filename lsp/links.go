package lsp

import (
	"context"
	"encoding/json"
	"path/filepath"

	"fourfold/parser/score"

	wire "fourfold/lsp/protocol"
)

// documentLinks are the web addresses that stand in a file, and the files that it
// names. No file is looked at, and none is linked that lies outside the folder of
// the score and the workspace folder around it: a click must not lead anywhere else
// on the disk.
func (s *session) documentLinks(params json.RawMessage) (work, error) {
	var p wire.DocumentParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	folders := s.workspaceFolders()
	return func(context.Context) (any, error) {
		links := []wire.DocumentLink{}
		for _, l := range score.Links(snap.tree()) {
			target := l.Text
			if l.File {
				target = linkedFile(snap.uri, l.Text, folders)
			}
			if target != "" {
				links = append(links, wire.DocumentLink{Range: snap.lines.lineRange(l.Span), Target: target})
			}
		}
		return links, nil
	}, nil
}

// linkedFile is the URI of a file that a score names; "" where it is not to be
// linked.
func linkedFile(uri, name string, folders []workspaceFolder) string {
	path, ok := filePath(uri)
	if !ok || filepath.IsAbs(name) {
		return ""
	}
	folder := filepath.Dir(path)
	target := filepath.Join(folder, filepath.FromSlash(name))
	rel, err := filepath.Rel(folder, target)
	if _, _, inside := folderOf(folders, target); !inside && (err != nil || !filepath.IsLocal(rel)) {
		return ""
	}
	return fileURI(target)
}
