package hands

import (
	"cmp"
	"slices"
)

// sameTime is the tolerance, in seconds, of every comparison of times.
const sameTime = 1e-9

// Stroke is all that one hand plucks at one instant.
type Stroke struct {
	T       float64 // seconds
	Strings []int   // string numbers, ascending, none twice
}

// mostStrings is how many strings one hand plucks at once: four fingers.
const mostStrings = 4

// counted gives the strings of a stroke that count: all, or of more than four the
// top four.
func (s Stroke) counted() []int {
	return s.Strings[max(0, len(s.Strings)-mostStrings):]
}

// Tidy gives strokes as Solve wants them: in order of time, strings ascending, none
// twice, strokes without strings left out. Strokes within 1e-9 s of the first of
// them are one stroke, at its time: a stroke is all that is plucked at one instant.
// The argument is left as it is.
func Tidy(strokes []Stroke) []Stroke {
	sorted := slices.Clone(strokes)
	slices.SortStableFunc(sorted, func(a, b Stroke) int { return cmp.Compare(a.T, b.T) })
	tidy := make([]Stroke, 0, len(sorted))
	for _, s := range sorted {
		if len(s.Strings) == 0 {
			continue
		}
		if last := len(tidy) - 1; last >= 0 && s.T-tidy[last].T <= sameTime {
			tidy[last].Strings = stringSet(tidy[last].Strings, s.Strings)
			continue
		}
		tidy = append(tidy, Stroke{s.T, stringSet(s.Strings, nil)})
	}
	return tidy
}

func stringSet(a, b []int) []int {
	all := slices.Concat(a, b)
	slices.Sort(all)
	return slices.Compact(all)
}
