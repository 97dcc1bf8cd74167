package lsp

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"go.lsp.dev/protocol"

	"fourfold/parser/score"
	"fourfold/parser/syntax"

	wire "fourfold/lsp/protocol"
)

// mostTunes is how many tunes are found at once: more are not looked through.
const mostTunes = 500

// workspaceSymbols finds tunes by their titles: in the documents that are open, and
// in the other scores of the workspace.
func (s *session) workspaceSymbols(params json.RawMessage) (work, error) {
	var p wire.QueryParams
	if err := decode(params, &p); err != nil {
		return nil, err
	}
	s.mu.Lock()
	var snaps []*snapshot
	for _, d := range s.docs {
		snaps = append(snaps, d.newest())
	}
	encoding := s.editor.encoding
	s.mu.Unlock()
	slices.SortFunc(snaps, func(a, b *snapshot) int { return strings.Compare(a.uri, b.uri) })
	return func(ctx context.Context) (any, error) {
		f := finder{query: strings.ToLower(p.Query), found: []protocol.SymbolInformation{}}
		for _, snap := range snaps {
			f.take(snap.uri, tunesIn(snap.lines))
		}
		open := s.openFiles()
		for _, file := range s.scores() {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if open[filepath.Clean(file.path())] == "" && len(f.found) < mostTunes {
				f.take(file.uri(), s.titles.of(file, encoding))
			}
		}
		return f.found, nil
	}, nil
}

// finder gathers the tunes whose titles hold the query.
type finder struct {
	query string // in small letters
	found []protocol.SymbolInformation
}

// titled is a tune by its title.
type titled struct {
	name  string
	place protocol.Range
}

func (f *finder) take(uri string, tunes []titled) {
	for _, t := range tunes {
		if len(f.found) < mostTunes && strings.Contains(strings.ToLower(t.name), f.query) {
			f.found = append(f.found, protocol.SymbolInformation{Name: t.name, Kind: protocol.SymbolKindModule, ContainerName: scoreName(uri),
				Location: protocol.Location{URI: protocol.DocumentURI(uri), Range: t.place}})
		}
	}
}

// tunesIn are the tunes of a text.
func tunesIn(l lines) (tunes []titled) {
	for _, h := range score.Headings(l.file) {
		tunes = append(tunes, titled{tuneName(h.Title, h.Number), l.lineRange(h.Span)})
	}
	return tunes
}

// tuneName is a tune's title, or its number where it has none.
func tuneName(title, number string) string {
	if strings.TrimSpace(title) != "" {
		return title
	}
	return strings.TrimSpace("Tune " + number)
}

// titles are the tunes of scores on disk, as they were when they were read last.
type titles struct {
	mu    sync.Mutex
	known map[string]titlesOfFile // by path
}

type titlesOfFile struct {
	size     int64
	modified time.Time
	tunes    []titled
}

// of reads a score's titles, unless they are known. One that cannot be read has
// none.
func (t *titles) of(file scoreFile, encoding string) []titled {
	t.mu.Lock()
	k, ok := t.known[file.path()]
	t.mu.Unlock()
	if ok && k.size == file.size && k.modified.Equal(file.modified) {
		return k.tunes
	}
	data, err := readInside(file.folder.path, file.name, maxScoreFile)
	if err != nil {
		return nil
	}
	tree := syntax.Parse(bytes.TrimPrefix(data, []byte("\ufeff"))) // which editors take off
	k = titlesOfFile{file.size, file.modified, tunesIn(lines{tree, encoding})}
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.known == nil {
		t.known = map[string]titlesOfFile{}
	}
	t.known[file.path()] = k
	return k.tunes
}
