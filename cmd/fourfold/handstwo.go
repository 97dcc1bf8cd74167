package main

import (
	"errors"
	"fmt"

	"fourfold/analysis/hands"
	"fourfold/analysis/harp"
)

// twoHandsOutput is what --strokes prints for staves.
type twoHandsOutput struct {
	Cost  float64      `json:"cost"`
	Hands []handOutput `json:"hands"`
	// LowerBound is there when the solution is not proved to be the cheapest: none is
	// below it. Gap is what the solution costs more.
	LowerBound *float64 `json:"lowerBound,omitempty"`
	Gap        *float64 `json:"gap,omitempty"`
}

type handOutput struct {
	Hand     string          `json:"hand"`
	Strokes  []strokeOutput  `json:"strokes"`
	Placings []placingOutput `json:"placings"`
}

type strokeOutput struct {
	T       float64 `json:"t"`
	Strings []int   `json:"strings"`
}

// twoHandsOf shares what the staves have between two hands.
func twoHandsOf(staves []staveInput, profile harp.Hand) (any, error) {
	written, err := writtenIn(staves)
	if err != nil {
		return nil, err
	}
	solution := hands.SolveTwo(written, profile)
	out := twoHandsOutput{Cost: placingsCost(solution.Cost)}
	if solution.LowerBound < solution.Cost {
		least := solution.CloserBound(waysFor(len(written.Staves[hands.Right]) + len(written.Staves[hands.Left])))
		bound, gap := placingsCost(least), placingsCost(solution.Cost-least)
		out.LowerBound, out.Gap = &bound, &gap
	}
	for side, s := range solution.Hands {
		hand := handOutput{Hand: hands.Side(side).String(), Strokes: []strokeOutput{}, Placings: placingsOutput(s.Placings)}
		for _, stroke := range s.Strokes {
			hand.Strokes = append(hand.Strokes, strokeOutput{stroke.T, stroke.Strings})
		}
		out.Hands = append(out.Hands, hand)
	}
	return out, nil
}

// waysFor is how many ways to share are looked at a time to bound the cost of so many
// strokes from below: many in short music, in long music as many as a few seconds allow.
func waysFor(strokes int) int {
	const all, fewest, most = 1 << 17, 16, 256
	return min(most, max(fewest, all/max(1, strokes)))
}

// writtenIn checks the staves: one for each hand by name, one hand of the two (the
// other has an empty stave), or one with no hand, whose notes belong to both.
func writtenIn(staves []staveInput) (hands.Written, error) {
	var written hands.Written
	if len(staves) > 2 {
		return written, errors.New(`two hands read at most two staves: join the rest`)
	}
	seen := map[string]bool{}
	for i, stave := range staves {
		strokes, err := strokesOf(fmt.Sprintf("staves[%d].strokes", i), stave.Strokes)
		if err != nil {
			return written, err
		}
		switch {
		case stave.Hand == "" && len(staves) > 1:
			return written, fmt.Errorf(`staves[%d] has no hand: with two staves give "R" to one and "L" to the other`, i)
		case stave.Hand != "" && stave.Hand != "R" && stave.Hand != "L":
			return written, fmt.Errorf(`staves[%d]: there is no hand %q; use "R" or "L"`, i, stave.Hand)
		case seen[stave.Hand]:
			return written, fmt.Errorf(`staves[%d]: the hand %q has a stave already; give the other "R" or "L"`, i, stave.Hand)
		}
		seen[stave.Hand] = true
		side := hands.Right
		if stave.Hand == "L" {
			side = hands.Left
		}
		written.Staves[side] = strokes
	}
	written.Named = !seen[""]
	written.Two = written.Named
	return written, nil
}
