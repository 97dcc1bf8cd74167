package main

import (
	"flag"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What is wrong with an option is said by the option's own name, with what to do.
func TestOptionFault(t *testing.T) {
	for args, want := range map[string]string{
		"--tempo fast": "--tempo fast: write a number", "--tempo": "--tempo needs a value after it", "-o": "-o needs a value after it",
		"--none": "there is no option --none", "-x=1": "there is no option -x", "--fix=maybe": "--fix maybe: it takes no value",
		"--pictures 1.5": "--pictures 1.5: write a number",
	} {
		flags := flag.NewFlagSet("", flag.ContinueOnError)
		flags.SetOutput(io.Discard)
		flags.Float64("tempo", 0, "")
		flags.Int("pictures", 0, "")
		flags.Bool("fix", false, "")
		flags.String("o", "", "")
		err := flags.Parse(strings.Fields(args))
		if assert.Error(t, err, args) {
			assert.Equal(t, want, optionFault(err), args)
		}
	}
}

// A very long line is shown around the columns that are meant.
func TestClipped(t *testing.T) {
	short, from, to := clipped([]byte("abc"), 1, 3)
	assert.Equal(t, []any{"abc", 1, 3}, []any{string(short), from, to})
	line := []byte(strings.Repeat("a", 500) + "XY" + strings.Repeat("b", 500))
	got, from, to := clipped(line, 501, 503)
	shown := []rune(string(got))
	assert.Equal(t, "XY", string(shown[from-1:to-1]))
	assert.Len(t, shown, shownOfLong+2)
	got, from, to = clipped(line, 1, 1003)
	assert.Equal(t, 1, from)
	assert.LessOrEqual(t, to, len([]rune(string(got))))
	got, from, to = clipped(line, 1002, 1003)
	shown = []rune(string(got))
	assert.Equal(t, "b", string(shown[from-1:to-1]))
	assert.Len(t, shown, shownOfLong+1)
}
