package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"fourfold/analysis"
	"fourfold/analysis/review"

	wire "fourfold/lsp/protocol"
)

// mostPages is how many pages of reviews are kept: the oldest make room.
const mostPages = 50

// openReview makes the page of a score and has the editor show it, or tells where
// it lies. The page goes to the user's cache, never beside the score.
func (s *session) openReview(arguments []json.RawMessage, told *progress) (work, error) {
	snap, err := s.documentArgument(arguments)
	if err != nil {
		return nil, err
	}
	return snap.withReading(func(ctx context.Context, reading *analysis.Reading) (any, error) {
		told.begin("Drawing the review")
		defer told.end("")
		page, err := review.Make(ctx, review.Input{Name: scoreName(snap.uri), Text: reading.Text(), Reading: reading}, review.Options{})
		if err != nil {
			return nil, err
		}
		path, err := s.writePage(snap.uri, page.HTML)
		if err != nil {
			return nil, jsonrpc2.Errorf(jsonrpc2.InternalError, "the review cannot be written (%v): make room in the folder of the user's caches, or use `fourfold review`", err)
		}
		uri := fileURI(path)
		if !s.showDocument(uri) {
			s.show(protocol.MessageTypeInfo, "The review is "+path+": open it in a browser.")
		}
		return wire.ReviewPage{URI: uri}, nil
	}), nil
}

// showDocument has the editor show a page in the browser; false where it cannot.
func (s *session) showDocument(uri string) bool {
	if !s.asked().showsDocuments {
		return false
	}
	var shown protocol.ShowDocumentResult
	err := s.client.call(protocol.MethodShowDocument, wire.ShowDocumentParams{URI: uri, External: true, TakeFocus: true}, &shown)
	return err == nil && shown.Success
}

// scoreName is the last part of a document's name.
func scoreName(uri string) string {
	if path, ok := filePath(uri); ok {
		return filepath.Base(path)
	}
	return uri[strings.LastIndexAny(uri, "/:")+1:]
}

// writePage puts a page where the user's caches are, readable by the user alone.
// The page of a score has always the same name, and it is there whole or not at
// all.
func (s *session) writePage(uri string, html []byte) (string, error) {
	folder, err := s.pagesFolder()
	if err != nil {
		return "", err
	}
	path := filepath.Join(folder, pageName(uri))
	if err := os.WriteFile(path+".part", html, 0o600); err != nil {
		return "", err
	}
	if err := os.Rename(path+".part", path); err != nil {
		return "", err
	}
	s.dropOldPages(folder)
	return path, nil
}

// pagesFolder is made where it is missing.
func (s *session) pagesFolder() (string, error) {
	folder := s.options.Pages
	if folder == "" {
		caches, err := os.UserCacheDir()
		if err != nil {
			return os.MkdirTemp("", "fourfold-")
		}
		folder = filepath.Join(caches, "fourfold", "reviews")
	}
	return folder, os.MkdirAll(folder, 0o700)
}

// pageName is made of the score's name, as far as every system takes it, and a
// number that tells scores of one name apart.
func pageName(uri string) string {
	name := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_' {
			return r
		}
		return -1
	}, strings.TrimSuffix(scoreName(uri), ".abc"))
	if runes := []rune(name); len(runes) > 40 {
		name = string(runes[:40])
	}
	h := fnv.New64a()
	h.Write([]byte(uri))
	return fmt.Sprintf("%s-%x.html", name, h.Sum64())
}

// dropOldPages keeps the newest pages.
func (s *session) dropOldPages(folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		s.log.Warn("the folder of reviews cannot be read", zap.Error(err))
		return
	}
	age := func(e os.DirEntry) time.Time {
		info, err := e.Info()
		if err != nil {
			return time.Time{} // gone by now
		}
		return info.ModTime()
	}
	entries = slices.DeleteFunc(entries, func(e os.DirEntry) bool { return !e.Type().IsRegular() || filepath.Ext(e.Name()) != ".html" })
	slices.SortFunc(entries, func(a, b os.DirEntry) int { return age(b).Compare(age(a)) })
	for _, e := range entries[min(len(entries), mostPages):] {
		if err := os.Remove(filepath.Join(folder, e.Name())); err != nil {
			s.log.Warn("an old review cannot be removed", zap.String("page", e.Name()), zap.Error(err))
		}
	}
}
