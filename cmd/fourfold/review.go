package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/review"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

const reviewUsage = `usage: fourfold review [OPTION…] FILE -o PAGE.html
       fourfold review [OPTION…] FILE|FOLDER… -o FOLDER

Makes a page of pictures and words to send to a composer: what fits the hands and
feet, what does not, and what would. FILE is a score, - for standard input, or a
pattern. One score makes one page that needs no network (review.html without -o);
several, or a folder, make a page each and an index (in review without -o). Where
abcm2ps is installed, flagged bars also stand there as notes. A comment in the
score puts the harpist's word beside a finding:

    % fourfold: remark bar 7: try it an octave lower
    % fourfold: fine bar 9: I take it with the thumb

Exit code: 0 all pages made, 2 an unreadable file or wrong usage.
`

// reviewCommand is what the flags ask for.
type reviewCommand struct {
	out      string
	tempo    float64
	settings []string // NAME=VALUE, by flags
	options  review.Options
	engrave  func(context.Context, string) (string, error)
	stderr   io.Writer
}

// runReview makes the page of a score, or of each score of a folder.
func runReview(args []string, stdout, stderr io.Writer) int {
	c := &reviewCommand{stderr: stderr}
	files, code, ok := c.parse(args, stdout)
	if !ok {
		return code
	}
	if c.engrave = findEngraver(); c.engrave == nil {
		fmt.Fprintln(stderr, "fourfold review: abcm2ps is not installed, so bars stand as ABC and pictures, not as notes")
	}
	if len(files) == 1 && !isFolder(files[0]) && !isPattern(files[0]) && !isFolder(c.out) && !strings.HasSuffix(c.out, "/") {
		return c.one(files[0], stdout)
	}
	return c.folder(files, stdout)
}

// parse reads the flags; files may stand before, between and after them.
func (c *reviewCommand) parse(args []string, stdout io.Writer) (files []string, code int, ok bool) {
	flags := newFlags("review", reviewUsage, c.stderr)
	flags.StringVar(&c.out, "o", "", "")
	by := flags.String("by", "place", "")
	flags.Float64Var(&c.tempo, "tempo", 0, "")
	flags.Func("hand", "", func(s string) error { c.settings = append(c.settings, "hand="+s); return nil })
	flags.Func("harp", "", func(s string) error { c.settings = append(c.settings, "instrument="+s); return nil })
	flags.IntVar(&c.options.Pictures, "pictures", 0, "")
	flags.Func("leave-out", "", func(s string) error {
		l, err := review.ParseLeaveOut(s)
		c.options.LeaveOut = append(c.options.LeaveOut, l)
		return err
	})
	files, code, ok = parseFlags(flags, args, stdout)
	if !ok {
		return nil, code, false
	}
	c.options.ByWeight = *by == "weight"
	what := ""
	switch {
	case *by != "place" && *by != "weight":
		what = fmt.Sprintf("--by %s is not known: use place or weight", *by)
	case isSet(flags, "tempo") && !(c.tempo > 0 && c.tempo <= maxTempo):
		what = fmt.Sprintf("--tempo must be more than 0 and at most %d quarter notes a minute", maxTempo)
	case isSet(flags, "pictures") && c.options.Pictures < 1:
		what = "--pictures must be at least 1"
	case c.out == "-":
		what = "-o - is no file: a page with pictures is written to one, such as -o page.html"
	case len(files) == 0:
		what = "no file given: name the score, or a folder of scores"
	}
	set := rules.Defaults()
	for _, s := range c.settings {
		if err := putFlag(&set, s); err != nil && what == "" {
			what = err.Error()
		}
	}
	if what != "" {
		return nil, wrongUsage(c.stderr, "review", what), false
	}
	return files, 0, true
}

// settingsOf are the settings of a score's folder under those of the flags, as
// check has them.
func (c *reviewCommand) settingsOf(folders *folderSettings, file string) rules.Settings {
	set := folders.of(file)
	(&checkCall{tempo: c.tempo, settings: c.settings}).put(&set)
	return set
}

// page reads one score and makes its page.
func (c *reviewCommand) page(file string, set rules.Settings, o review.Options) (review.Page, error) {
	text, err := readFileOrStdin(file)
	if err != nil {
		return review.Page{}, fmt.Errorf("it cannot be read (%v): check the name and its permissions", cause(err))
	}
	ctx := context.Background()
	reading, err := analysis.Read(ctx, syntax.Parse(text), set)
	if err != nil {
		return review.Page{}, err
	}
	return review.Make(ctx, review.Input{Name: nameOf(file), Text: text, Reading: reading, Engrave: c.engrave}, o)
}

// one makes the page of one score.
func (c *reviewCommand) one(file string, stdout io.Writer) int {
	out := c.out
	if out == "" {
		out = "review.html"
	}
	page, err := c.page(file, c.settingsOf(newFolderSettings("review", c.stderr), file), c.options)
	if err != nil {
		fmt.Fprintf(c.stderr, "fourfold review: %s: %v\n", file, err)
		return 2
	}
	if err := writePage(out, page.HTML); err != nil {
		fmt.Fprintf(c.stderr, "fourfold review: %s cannot be written (%v): name another with -o\n", out, cause(err))
		return 2
	}
	fmt.Fprintf(stdout, "%s written: open it in a browser.\n", out)
	return 0
}

// pageMark is what every page of a review begins with, soon.
const pageMark = `<meta name="generator" content="Fourfold">`

var errNotOurs = errors.New("there is a file already that is no review")

// writePage writes a page where there is none, or a review that may be replaced:
// no score and no page of someone else's is lost to a slip in a name.
func writePage(name string, page []byte) error {
	if info, err := os.Stat(name); err == nil && info.Mode().IsRegular() && info.Size() > 0 {
		old, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if !bytes.Contains(old[:min(len(old), 1000)], []byte(pageMark)) {
			return errNotOurs
		}
	}
	return os.WriteFile(name, page, 0o644)
}

// nameOf is what a page calls its score.
func nameOf(file string) string {
	if file == "-" {
		return "standard input"
	}
	return filepath.Base(file)
}

// isPattern says whether a word stands for the files that fit it.
func isPattern(word string) bool {
	_, err := os.Stat(word)
	return err != nil && strings.ContainsAny(word, "*?[")
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}
