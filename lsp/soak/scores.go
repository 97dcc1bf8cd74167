// Package soak wears the server out: random edits, requests and cancellations over
// real scores, against the real binary over standard input and output. At every
// checkpoint what the server says must be what a fresh server says about the same
// texts.
//
//	go test ./lsp/soak -run TestSoak -steps 200000 -timeout 3h -v
package soak

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"
)

// longestScore bounds the scores that are taken, in bytes: many edits to many
// scores find more than few edits to long ones.
const longestScore = 40_000

// Scores are the texts of all scores below some folders, as an editor would have
// them, in the order of their paths.
func Scores(folders ...string) (texts []string, err error) {
	for _, folder := range folders {
		err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.EqualFold(filepath.Ext(path), ".abc") {
				return err
			}
			data, err := os.ReadFile(path)
			if err == nil && len(data) <= longestScore {
				texts = append(texts, strings.ToValidUTF8(string(data), string(utf8.RuneError)))
			}
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return texts, nil
}
