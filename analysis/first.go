package analysis

import (
	"bytes"
	"context"
	"math"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

const (
	longText   = 100_000 // bytes from which a first look is worth while
	firstBytes = 24_000  // that it looks at
	firstBars  = 40      // of each tune
)

// First is a look at the beginning of a long text, for something to show while the
// whole is read: what the music nearby decides in the first bars that all voices have
// there. It is nil for a short text, and where there are no such bars.
func First(ctx context.Context, text []byte, settings rules.Settings) *Glimpse {
	if len(text) < longText {
		return nil
	}
	head := text[:bytes.LastIndexByte(text[:firstBytes], '\n')+1]
	file := syntax.Parse(head)
	g := &Glimpse{file: file, score: score.Build(file), settings: settings, memory: rules.NewMemory(), fixes: &fix.Memory{}}
	var all []rules.Finding
	for _, t := range g.score.Tunes {
		bars := completeBars(t) - reach
		if bars < 1 {
			continue
		}
		near, err := rules.Nearby(ctx, head, t, 1, min(bars, firstBars), settings)
		if err != nil {
			return nil
		}
		for _, f := range near.Findings {
			if f.EndBar <= min(bars, firstBars) {
				all = append(all, f)
			}
		}
	}
	if len(all) == 0 {
		return nil
	}
	g.kept = shelve(all)
	return g
}

// completeBars is how many bars all voices have, without the last one, which may have
// been cut.
func completeBars(t *score.Tune) int {
	least := math.MaxInt
	for _, v := range t.Voices {
		least = min(least, v.Len()-1)
	}
	if least == math.MaxInt {
		return 0
	}
	return least
}
