package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/harp"
	"fourfold/analysis/review"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

const reviewUsage = `usage: fourfold review FILE -o PAGE.html
       fourfold review FILE|FOLDER… -o FOLDER

Makes a page of pictures and words to send to a composer: what fits the hands and
feet, what does not, and what would. One score makes one page that needs no
network; several, or a folder, make a page each and an index.
Where abcm2ps is installed, flagged bars also stand there as notes.
Exit code: 0 all pages made, 2 an unreadable file or wrong usage.
`

// reviewCommand is what the flags ask for.
type reviewCommand struct {
	out     string
	set     rules.Settings
	options review.Options
	engrave func(context.Context, string) (string, error)
	stderr  io.Writer
}

// runReview makes the page of a score, or of each score of a folder.
func runReview(args []string, stdout, stderr io.Writer) int {
	c := &reviewCommand{set: rules.Defaults(), stderr: stderr}
	files, code, ok := c.parse(args)
	if !ok {
		return code
	}
	c.engrave = findEngraver()
	if c.engrave == nil {
		fmt.Fprintln(stderr, "fourfold review: abcm2ps is not installed, so bars stand as ABC and pictures, not as notes")
	}
	single := len(files) == 1 && !isFolder(files[0]) && !isFolder(c.out) && !strings.HasSuffix(c.out, "/")
	if single {
		return c.one(files[0], stdout)
	}
	return c.folder(files, stdout)
}

// parse reads the flags; files may stand before, between and after them.
func (c *reviewCommand) parse(args []string) (files []string, code int, ok bool) {
	flags := newFlags("review", reviewUsage, c.stderr)
	flags.StringVar(&c.out, "o", "", "the page to write, or the folder for several (default review.html, or review)")
	by := flags.String("by", "place", "order of the places: place or weight (heaviest first)")
	flags.Float64Var(&c.set.Tempo, "tempo", 0, "quarter notes a minute that replace every Q:")
	hand := flags.String("hand", "standard", "standard or small")
	instrument := flags.String("harp", "concert", "the harp: concert, pedal46, pedal40, lever34, lever36 or lever38")
	flags.IntVar(&c.options.Pictures, "pictures", review.DefaultPictures, "how many places are drawn, the heaviest first")
	flags.Func("leave-out", "a rule (hands/tight), a group (hands) or bars (7, 7-9) not to show; may be repeated", func(s string) error {
		l, err := review.ParseLeaveOut(s)
		c.options.LeaveOut = append(c.options.LeaveOut, l)
		return err
	})
	for rest := args; len(rest) > 0; rest = flags.Args()[1:] {
		if err := flags.Parse(rest); err != nil {
			return nil, usageCode(err), false
		}
		if flags.NArg() == 0 {
			break
		}
		files = append(files, flags.Arg(0))
	}
	what := c.check(flags, *by, *hand, *instrument)
	if what == "" && len(files) == 0 {
		what = "no file given: name the score, or a folder of scores"
	}
	if what != "" {
		return nil, wrongUsage(c.stderr, "review", what), false
	}
	c.options.ByWeight = *by == "weight"
	return files, 0, true
}

// check says what is wrong with the flags, "" for nothing.
func (c *reviewCommand) check(flags *flag.FlagSet, by, hand, instrument string) string {
	var ok bool
	if c.set.Hand, ok = harp.HandNamed(hand); !ok {
		return fmt.Sprintf("--hand %s is not known: use standard or small", hand)
	}
	if c.set.Instrument, ok = harp.InstrumentNamed(instrument); !ok {
		return fmt.Sprintf("--harp %s is not known: use concert, pedal46, pedal40, lever34, lever36 or lever38", instrument)
	}
	switch {
	case by != "place" && by != "weight":
		return fmt.Sprintf("--by %s is not known: use place or weight", by)
	case isSet(flags, "tempo") && !(c.set.Tempo > 0 && c.set.Tempo <= maxTempo):
		return fmt.Sprintf("--tempo must lie between 0 and %d quarter notes a minute", maxTempo)
	case c.options.Pictures < 1:
		return "--pictures must be at least 1"
	}
	return ""
}

// page reads one score and makes its page.
func (c *reviewCommand) page(file string, o review.Options) (review.Page, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return review.Page{}, fmt.Errorf("it cannot be read (%v): check the name and its permissions", cause(err))
	}
	ctx := context.Background()
	reading, err := analysis.Read(ctx, syntax.Parse(text), c.set)
	if err != nil {
		return review.Page{}, err
	}
	return review.Make(ctx, review.Input{Name: filepath.Base(file), Text: text, Reading: reading, Engrave: c.engrave}, o)
}

// one makes the page of one score.
func (c *reviewCommand) one(file string, stdout io.Writer) int {
	out := c.out
	if out == "" {
		out = "review.html"
	}
	page, err := c.page(file, c.options)
	if err != nil {
		fmt.Fprintf(c.stderr, "fourfold review: %s: %v\n", file, err)
		return 2
	}
	if err := os.WriteFile(out, page.HTML, 0o644); err != nil {
		fmt.Fprintf(c.stderr, "fourfold review: %s cannot be written (%v): name another with -o\n", out, cause(err))
		return 2
	}
	fmt.Fprintf(stdout, "%s written: open it in a browser.\n", out)
	return 0
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}
