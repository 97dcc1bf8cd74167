package lsp

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/maphash"
	"path/filepath"
	"sync"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/analysis/settings"
	"fourfold/parser/syntax"

	wire "fourfold/lsp/protocol"
)

// checked is what a check of the workspace has to say about one score.
type checked struct {
	uri     string
	version *wire.Integer // of an open document; nil for a file on disk
	id      string        // stands for all of the rest
	known   bool          // the client has it under this id already
	found   []protocol.Diagnostic
}

// checker checks the scores of the workspace, one after another and one check at a
// time, behind everything that the user waits for.
type checker struct {
	turn chan struct{} // holds one token
	seed maphash.Seed

	mu   sync.Mutex
	last map[string]checkedFile // by path
}

// checkedFile is a file as it was when it was checked last.
type checkedFile struct {
	size     int64
	modified time.Time
	settings uint64
	id       string
}

func newChecker() *checker {
	c := &checker{turn: make(chan struct{}, 1), seed: maphash.MakeSeed(), last: map[string]checkedFile{}}
	c.turn <- struct{}{}
	return c
}

// checkScores visits every score of the workspace: an open one as the editor has
// it, every other as it is on disk. previous are the ids that the client has, by
// URI; what it has that is no longer there is visited with nothing found. done and
// all count scores. The error is the context's, or that of visit.
func (s *session) checkScores(ctx context.Context, previous map[string]string, visit func(done, all int, c checked) error) error {
	select {
	case <-s.checker.turn:
		defer func() { s.checker.turn <- struct{}{} }()
	case <-ctx.Done():
		return ctx.Err()
	}
	ctx = patient{ctx, &s.priority}
	files := s.scores()
	open := s.openFiles()
	set := &folderSettings{session: s, known: map[string]readSettings{}}
	gone := map[string]bool{}
	for uri := range previous {
		gone[uri] = true
	}
	for i, file := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		c, err := s.checkScore(ctx, file, open[file.path()], set, previous)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			s.log.Warn("a score cannot be checked", zap.String("file", file.path()), zap.Error(err))
			continue
		}
		delete(gone, c.uri)
		if err := visit(i+1, len(files), c); err != nil {
			return err
		}
	}
	s.checker.keepOnly(files)
	for uri := range gone {
		if _, err := s.snapshotOf(uri); err == nil {
			continue // open: asked about by itself
		}
		if err := visit(len(files), len(files), checked{uri: uri, id: "gone"}); err != nil {
			return err
		}
	}
	return nil
}

// openFiles gives the names of the open documents that are files, by path.
func (s *session) openFiles() map[string]string {
	s.mu.Lock()
	defer s.mu.Unlock()
	open := map[string]string{}
	for uri := range s.docs {
		if path, ok := filePath(uri); ok {
			open[filepath.Clean(path)] = uri
		}
	}
	return open
}

// checkScore checks one file, or the document of that file if it is open.
func (s *session) checkScore(ctx context.Context, file scoreFile, open string, set *folderSettings, previous map[string]string) (c checked, err error) {
	_, err = s.guard("check", func() (any, error) {
		if open != "" {
			c, err = s.checkOpen(ctx, open, previous)
			if err == nil || ctx.Err() != nil {
				return nil, err
			} // it has been closed meanwhile
		}
		c, err = s.checkFile(ctx, file, set.of(filepath.Dir(file.path())), previous)
		return nil, err
	})
	return c, err
}

// checkOpen waits for the findings on an open document until it is left alone for
// as long as they take.
func (s *session) checkOpen(ctx context.Context, uri string, previous map[string]string) (checked, error) {
	// Others may wait for the same reading: it must not stand back.
	if p, ok := ctx.(patient); ok {
		ctx = p.Context
	}
	for {
		snap, err := s.snapshotOf(uri)
		if err != nil {
			return checked{}, err
		}
		c := checked{uri: uri, version: snap.version, id: snap.id}
		if c.known = previous[uri] == snap.id; c.known {
			return c, nil
		}
		c.found, err = s.findings(ctx, snap)
		var again *jsonrpc2.Error
		if errors.As(err, &again) && again.Code == wire.CodeServerCancelled {
			continue
		}
		return c, err
	}
}

// checkFile reads and analyses a file, unless it is as it was when the client was
// told of it.
func (s *session) checkFile(ctx context.Context, file scoreFile, set readSettings, previous map[string]string) (checked, error) {
	c := checked{uri: file.uri()}
	s.checker.mu.Lock()
	last, ok := s.checker.last[file.path()]
	s.checker.mu.Unlock()
	if ok && last.size == file.size && last.modified.Equal(file.modified) && last.settings == set.key && previous[c.uri] == last.id {
		c.id, c.known = last.id, true
		return c, nil
	}
	data, err := readInside(file.folder.path, file.name, maxScoreFile)
	if err != nil {
		return c, err
	}
	text := bytes.TrimPrefix(data, []byte("\ufeff")) // which editors take off
	tree := syntax.Parse(text)
	reading, err := s.analyse(analysis.Begin(nil, tree, set.settings()), ctx)
	if err != nil {
		return c, err
	}
	s.mu.Lock()
	encoding := s.editor.encoding
	s.mu.Unlock()
	c.found = s.diagnostics(&snapshot{uri: c.uri, lines: lines{tree, encoding}}, reading.Findings())
	list, err := json.Marshal(c.found)
	if err != nil {
		return c, err
	}
	c.id = fmt.Sprintf("f%x", maphash.Bytes(s.checker.seed, append(list, text...)))
	c.known = previous[c.uri] == c.id
	s.checker.mu.Lock()
	defer s.checker.mu.Unlock()
	s.checker.last[file.path()] = checkedFile{file.size, file.modified, set.key, c.id}
	return c, nil
}

// keepOnly forgets files that are no longer there.
func (c *checker) keepOnly(files []scoreFile) {
	there := map[string]bool{}
	for _, f := range files {
		there[f.path()] = true
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for path := range c.last {
		if !there[path] {
			delete(c.last, path)
		}
	}
}

// readSettings are the settings of a folder's scores, and a number that is another
// when they may be.
type readSettings struct {
	editor, folder settings.Apply
	key            uint64
}

func (r readSettings) settings() rules.Settings {
	set := rules.Defaults()
	r.editor(&set)
	r.folder(&set)
	return set
}

// folderSettings reads the settings of each folder once in a check.
type folderSettings struct {
	session *session
	known   map[string]readSettings
}

func (f *folderSettings) of(folder string) readSettings {
	if r, ok := f.known[folder]; ok {
		return r
	}
	s := f.session
	s.mu.Lock()
	r := readSettings{editor: s.settings}
	generation := s.generation
	s.mu.Unlock()
	path, text := s.findSettings(folder)
	r.folder = s.parseSettings(path, text)
	r.key = maphash.Bytes(s.checker.seed, fmt.Appendf(nil, "%d\n%s\n%s", generation, path, text))
	f.known[folder] = r
	return r
}
