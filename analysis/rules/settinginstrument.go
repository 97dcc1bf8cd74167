package rules

import (
	"fmt"
	"slices"
	"strings"

	"fourfold/analysis/harp"
)

// instrumentParts are the parts of an instrument that a setting can change, in the
// order in which they are put on.
var instrumentParts = []string{"lowest", "highest", "undisced", "tuning"}

// putInstrument takes another harp; parts of it that were set stay set.
func putInstrument(s *Settings, value any) error {
	instrument, _ := harp.InstrumentNamed(value.(string))
	return s.takeInstrument(instrument, s.ontop)
}

// onInstrument changes one part of the harp.
func onInstrument(part string) func(*Settings, any) error {
	return func(s *Settings, value any) error {
		named, ok := harp.InstrumentNamed(s.Instrument.Name)
		if !ok {
			named = s.Instrument
		}
		return s.takeInstrument(named, with(s.ontop, part, value))
	}
}

// takeInstrument takes a harp and puts on it what is set.
func (s *Settings) takeInstrument(i harp.Instrument, ontop map[string]any) error {
	for _, part := range instrumentParts {
		if value, ok := ontop[part]; ok {
			if err := putPart(&i, part, value); err != nil {
				return err
			}
		}
	}
	s.Instrument, s.ontop = i, ontop
	return nil
}

func putPart(i *harp.Instrument, part string, value any) (err error) {
	switch part {
	case "lowest":
		i.Lowest, err = stringBetween(value.(string), "C0", "B4")
	case "highest":
		i.Highest, err = stringBetween(value.(string), "C5", "B9")
	case "undisced":
		i.Undisced, err = stringsNamed(value.([]string))
		i.OftenUndisced = nil
	case "tuning":
		i.Open, err = tuningOf(i, value.([]string))
	}
	if err == nil && (part == "lowest" || part == "highest") {
		kind := "lever harp"
		if i.Pedals {
			kind = "pedal harp"
		}
		i.Title = fmt.Sprintf("%s, %d strings", kind, i.Highest-i.Lowest+1)
		i.Origin = "set by the user"
	}
	return err
}

func stringBetween(name, low, high string) (int, error) {
	n, ok := harp.ParseString(name)
	least, _ := harp.ParseString(low)
	most, _ := harp.ParseString(high)
	if !ok || n < least || n > most {
		return 0, fmt.Errorf("it must be the name of a string from %s to %s; middle C is C4", low, high)
	}
	return n, nil
}

func stringsNamed(names []string) (numbers []int, err error) {
	for _, name := range names {
		n, ok := harp.ParseString(name)
		if !ok {
			return nil, fmt.Errorf("`%s` names no string: write the letter and the octave, as in C1; middle C is C4", name)
		}
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	return slices.Compact(numbers), nil
}

// tuningOf reads the letters that are not natural with every lever down. A pedal
// harp keeps its own.
func tuningOf(i *harp.Instrument, names []string) (open [7]int8, err error) {
	seen := map[byte]bool{}
	for _, name := range names {
		letter := -1
		if len(name) == 2 {
			letter = strings.IndexByte("CDEFGAB", name[0])
		}
		sign, ok := map[string]int8{"b": -1, "#": 1}[strings.TrimLeft(name, "CDEFGAB")]
		if letter < 0 || !ok || seen[name[0]] {
			return i.Open, fmt.Errorf("`%s` is not understood: give letters with b or #, each once, as in Bb,Eb,Ab", name)
		}
		seen[name[0]] = true
		open[letter] = sign
	}
	if !i.Levers {
		return i.Open, nil
	}
	return open, nil
}
