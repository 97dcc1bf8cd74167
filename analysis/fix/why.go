package fix

import (
	"fmt"
	"sort"
	"strings"

	"fourfold/analysis/rules"
)

// whyNot says why a finding has no fix; "" where it has one.
func whyNot(f rules.Finding, a Answer) string {
	switch {
	case len(a.Fixes) > 0:
		return ""
	case strings.HasPrefix(f.Rule, "notation/") || strings.HasPrefix(f.Rule, "tempo/") || strings.HasPrefix(f.Rule, "fourfold/"):
		return "This is about the notation: what is meant is the writer's to say."
	case f.Severity == rules.Off:
		return "The rule is off."
	case a.Tried == 0:
		return "No rewrite of the notes is known for this: it is for the player to judge."
	}
	why := fmt.Sprintf("None of %s that were tried can be offered: %s.", counted(a.Tried, "rewrite"), strings.Join(reasons(a.Refused), "; "))
	if f.Speed != nil && f.Speed.HoldsUpTo < slowest*f.Speed.Tempo {
		why += " A tempo at which it holds would be less than half of what is asked."
	}
	return why
}

// reasons lists why candidates were refused, the commonest first.
func reasons(refused map[string]int) (out []string) {
	var names []string
	for name := range refused {
		names = append(names, name)
	}
	sort.Slice(names, func(i, j int) bool {
		if refused[names[i]] != refused[names[j]] {
			return refused[names[i]] > refused[names[j]]
		}
		return names[i] < names[j]
	})
	for _, name := range names {
		out = append(out, fmt.Sprintf("%s (%d)", name, refused[name]))
	}
	return out
}

func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
