package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// runPedalsAction changes every harp part of a score, and prints the change as a
// unified diff or writes it into the file. What was done and what was not is told on
// stderr. The exit code is 0, also where there is nothing to do.
func runPedalsAction(file, action string, write bool, stdout, stderr io.Writer) int {
	before, err := os.ReadFile(file)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %s cannot be read (%v): check the name and its permissions\n", file, cause(err))
		return 2
	}
	set := settingsFor("pedals", file, stderr)
	after, err := actOnAll(file, before, action, set, stderr)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %s: %v\n", file, err)
		return 2
	}
	switch {
	case bytes.Equal(before, after):
		return 0
	case write:
		err = replaceFile(file, before, after)
	default:
		_, err = io.WriteString(stdout, unified(file, before, after))
	}
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %s: %v\n", file, err)
		return 2
	}
	return 0
}

// actOnAll changes every part: in one go the first of each tune, then the second ones in
// what came of it, and so on.
func actOnAll(file string, text []byte, action string, set rules.Settings, stderr io.Writer) ([]byte, error) {
	ctx := context.Background()
	for k := 0; ; k++ {
		reading, err := analysis.Read(ctx, syntax.Parse(text), set)
		if err != nil {
			return nil, err
		}
		if len(reading.Parts()) == 0 {
			fmt.Fprintf(stderr, "fourfold pedals: %s holds no part for a harp: name a voice Harp, brace two staves, or add a line '%%%%fourfold harp RH LH'\n", file)
		}
		var edits []score.Edit
		nth, acted := map[*score.Tune]int{}, false
		for _, p := range reading.Parts() {
			if nth[p.Tune]++; nth[p.Tune] != k+1 {
				continue
			}
			acted = true
			a, err := reading.Act(ctx, action, startOf(p.Player.Voices()))
			if err != nil {
				return nil, err
			}
			fmt.Fprintf(stderr, "%s: %s: %s%s\n", file, partTitle(p.Tune.Number, p.Player.Name), a.Title, a.Why)
			edits = append(edits, a.Edits...)
		}
		if !acted {
			return text, nil
		}
		text = reading.Edited(edits)
	}
}

// startOf is a caret at the first note of some voices.
func startOf(voices []*score.Voice) score.Span {
	for _, v := range voices {
		if v.Len() > 0 {
			return score.Span{Start: v.BarStart(0), End: v.BarStart(0)}
		}
	}
	return score.Span{}
}
