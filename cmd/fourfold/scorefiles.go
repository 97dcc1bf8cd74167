package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// scoreFiles gives the scores that the words of a call mean, each once: a file, -
// for standard input, a folder for all *.abc in it and below, or a pattern such as
// parts/*.abc where the shell has not filled it in. What means nothing is told,
// and the rest is given all the same.
func scoreFiles(words []string, complain func(format string, args ...any)) (files []string) {
	seen := map[string]bool{}
	add := func(names ...string) {
		for _, n := range names {
			if !seen[n] {
				seen[n] = true
				files = append(files, n)
			}
		}
	}
	for _, w := range words {
		info, err := os.Stat(w)
		switch {
		case w == "-":
			add(w)
		case err == nil && info.IsDir():
			found, err := scoresBelow(w)
			if err != nil {
				complain("%s cannot be read whole (%v): check its permissions", w, cause(err))
			} else if len(found) == 0 {
				complain("%s holds no score: the name of a score ends in .abc", w)
			}
			add(found...)
		case err != nil && strings.ContainsAny(w, "*?["):
			found, err := filepath.Glob(w)
			if err != nil || len(found) == 0 {
				complain("no file fits the pattern %s", w)
			}
			add(found...)
		default:
			add(w) // reading it tells what is wrong
		}
	}
	return files
}

// scoresBelow lists the scores of a folder and of those in it, in the order of
// their names. Hidden folders are passed over.
func scoresBelow(folder string) (files []string, err error) {
	var first error
	err = filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			first = fmt.Errorf("%s: %w", path, cause(err))
			if d != nil && d.IsDir() {
				return filepath.SkipDir
			}
		case d.IsDir() && path != folder && strings.HasPrefix(d.Name(), "."):
			return filepath.SkipDir
		case !d.IsDir() && strings.EqualFold(filepath.Ext(path), ".abc"):
			files = append(files, path)
		}
		return nil
	})
	if err == nil {
		err = first
	}
	return files, err
}
