package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"sort"
	"strings"
	"sync"

	"fourfold/analysis/review"
	"fourfold/analysis/rules"
)

// folderScore is one score of a folder: where it is, where its page goes and
// what came of it.
type folderScore struct {
	file, page string
	set        rules.Settings
	name       string // as the index shows it: within the folder that was named
	summary    review.Summary
	err        error
}

// progressEvery is after how many scores a line says how far the work is.
const progressEvery = 25

// folder makes a page for each score and an index of them all. A score that
// fails stands in the index with the reason; the others go on.
func (c *reviewCommand) folder(args []string, stdout io.Writer) int {
	out := c.out
	if out == "" {
		out = "review"
	}
	scores, missing := scoresOf(args)
	for _, s := range missing {
		fmt.Fprintf(c.stderr, "fourfold review: %s: %v\n", s.file, s.err)
	}
	if len(scores) == 0 {
		fmt.Fprintln(c.stderr, "fourfold review: no score found: name files, or folders that hold files ending in .abc")
		return 2
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		fmt.Fprintf(c.stderr, "fourfold review: %s cannot be made (%v): name another folder with -o\n", out, cause(err))
		return 2
	}
	c.pages(scores, out)
	return c.index(append(missing, scores...), out, stdout)
}

// scoresOf finds the scores: files as named, folders searched for .abc files.
func scoresOf(args []string) (scores, missing []*folderScore) {
	names := map[string]int{}
	add := func(file, name string) {
		scores = append(scores, &folderScore{file: file, name: filepath.ToSlash(name), page: pageName(file, names)})
	}
	for _, arg := range args {
		if isPattern(arg) {
			found, err := filepath.Glob(arg)
			if err != nil || len(found) == 0 {
				missing = append(missing, &folderScore{file: arg, name: arg, err: errors.New("no file fits the pattern")})
			}
			for _, f := range found {
				if !isFolder(f) {
					add(f, f)
				}
			}
			continue
		}
		if !isFolder(arg) {
			add(arg, arg)
			continue
		}
		var found []string
		err := filepath.WalkDir(arg, func(path string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() && strings.EqualFold(filepath.Ext(path), ".abc") {
				found = append(found, path)
			}
			return err
		})
		if err != nil {
			missing = append(missing, &folderScore{file: arg, name: arg, err: cause(err)})
		}
		sort.Strings(found)
		for _, f := range found {
			name, err := filepath.Rel(arg, f)
			if err != nil {
				name = f
			}
			add(f, name)
		}
	}
	return scores, missing
}

var notInNames = regexp.MustCompile(`[^A-Za-z0-9_-]+`)

// pageName makes a file name of its own for a score's page.
func pageName(file string, taken map[string]int) string {
	base := strings.Trim(notInNames.ReplaceAllString(strings.TrimSuffix(filepath.Base(file), filepath.Ext(file)), "-"), "-")
	if base == "" || base == "index" {
		base = "score" + base
	}
	key := strings.ToLower(base)
	taken[key]++
	for n := taken[key]; n > 1; n++ {
		name := fmt.Sprintf("%s-%d", base, n)
		if taken[strings.ToLower(name)] == 0 {
			taken[strings.ToLower(name)], taken[key] = 1, n
			return name + ".html"
		}
	}
	return base + ".html"
}

// pages works through the scores, several at a time.
func (c *reviewCommand) pages(scores []*folderScore, out string) {
	folders := newFolderSettings("review", c.stderr)
	for _, s := range scores {
		s.set = c.settingsOf(folders, s.file)
	}
	jobs := make(chan *folderScore)
	var wait sync.WaitGroup
	var lock sync.Mutex
	done := 0
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for s := range jobs {
				s.err = c.write(s, out)
				lock.Lock()
				if s.err != nil {
					fmt.Fprintf(c.stderr, "fourfold review: %s: %v\n", s.file, s.err)
				}
				if done++; done%progressEvery == 0 && done < len(scores) {
					fmt.Fprintf(c.stderr, "fourfold review: %d of %d scores\n", done, len(scores))
				}
				lock.Unlock()
			}
		})
	}
	for _, s := range scores {
		jobs <- s
	}
	close(jobs)
	wait.Wait()
}

// write makes one page of a folder. A fault of the program in one score is that
// score's alone.
func (c *reviewCommand) write(s *folderScore, out string) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("the program failed on it (%v): please report this score", fault)
		}
	}()
	o := c.options
	o.Home = "index.html"
	page, err := c.page(s.file, s.set, o)
	if err != nil {
		return err
	}
	s.summary = page.Summary
	if err := writePage(filepath.Join(out, s.page), page.HTML); err != nil {
		return fmt.Errorf("its page cannot be written: %v", cause(err))
	}
	return nil
}

// index writes the page of all scores.
func (c *reviewCommand) index(scores []*folderScore, out string, stdout io.Writer) int {
	var rows []review.Row
	var broken []review.Broken
	for _, s := range scores {
		if s.err != nil {
			broken = append(broken, review.Broken{File: s.name, Error: s.err.Error()})
			continue
		}
		rows = append(rows, review.Row{File: s.name, Page: s.page, Summary: s.summary})
	}
	html, err := review.Index(rows, broken)
	name := filepath.Join(out, "index.html")
	if err == nil {
		err = writePage(name, html)
	}
	if err != nil {
		fmt.Fprintf(c.stderr, "fourfold review: %s cannot be written: %v\n", name, cause(err))
		return 2
	}
	fmt.Fprintf(stdout, "%s written, with %s: open it in a browser.\n", name, plural(len(rows), "page"))
	if len(broken) > 0 {
		return 2
	}
	return 0
}
