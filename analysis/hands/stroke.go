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
	// Printed are the fingers that the page gives, 1 to 4, in step with Strings: 0 for
	// a string without one, nil where the stroke has none.
	Printed []int
}

// mostStrings is how many strings one hand plucks at once: four fingers.
const mostStrings = 4

// counted gives the strings of a stroke that count: all, or of more than four the
// top four.
func (s Stroke) counted() []int {
	return s.Strings[max(0, len(s.Strings)-mostStrings):]
}

// printed gives the printed fingers of the strings that count; nil for none.
func (s Stroke) printed() []int {
	return s.Printed[max(0, len(s.Printed)-mostStrings):]
}

// same says whether two strokes ask for the same, whenever that is.
func (s Stroke) same(as Stroke) bool {
	return slices.Equal(s.Strings, as.Strings) && slices.Equal(s.Printed, as.Printed)
}

// Tidy gives strokes as Solve wants them: in order of time, strings ascending, none
// twice, strokes without strings left out. Strokes within 1e-9 s of the first of
// them are one stroke, at its time: a stroke is all that is plucked at one instant.
// Of two fingers printed on one string the first counts. The argument is left as it is.
func Tidy(strokes []Stroke) []Stroke {
	sorted := slices.Clone(strokes)
	slices.SortStableFunc(sorted, func(a, b Stroke) int { return cmp.Compare(a.T, b.T) })
	tidy := make([]Stroke, 0, len(sorted))
	for _, s := range sorted {
		if len(s.Strings) == 0 {
			continue
		}
		if last := len(tidy) - 1; last >= 0 && s.T-tidy[last].T <= sameTime {
			tidy[last] = joined(tidy[last].T, tidy[last], s)
			continue
		}
		tidy = append(tidy, joined(s.T, s))
	}
	return tidy
}

// joined makes one stroke of several.
func joined(t float64, strokes ...Stroke) Stroke {
	all := Stroke{T: t}
	for _, s := range strokes {
		all.Strings = stringSet(all.Strings, s.Strings)
	}
	for _, s := range strokes {
		for j, f := range s.Printed {
			if f == 0 {
				continue
			}
			if all.Printed == nil {
				all.Printed = make([]int, len(all.Strings))
			}
			if at := slices.Index(all.Strings, s.Strings[j]); all.Printed[at] == 0 {
				all.Printed[at] = f
			}
		}
	}
	return all
}

// some gives the stroke of some of the strings, which are all in it, in order.
func (s Stroke) some(strings []int) Stroke {
	part := Stroke{T: s.T, Strings: strings}
	if s.Printed == nil {
		return part
	}
	printed := make([]int, len(strings))
	for j, string := range strings {
		printed[j] = s.Printed[slices.Index(s.Strings, string)]
	}
	if slices.Max(append(printed, 0)) > 0 {
		part.Printed = printed
	}
	return part
}

func stringSet(a, b []int) []int {
	all := slices.Concat(a, b)
	slices.Sort(all)
	return slices.Compact(all)
}
