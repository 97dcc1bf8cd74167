package review

import (
	"fmt"
	"strconv"
	"strings"

	"fourfold/analysis/rules"
)

// LeaveOut names findings that are not shown: those of a rule, of a group of
// rules, or those that touch some bars.
type LeaveOut struct {
	Rule     string // "hands/tight", or "hands" for the group; "" where bars are meant
	From, To int    // bars
}

// ParseLeaveOut reads "hands/tight", "hands", "7" or "7-9".
func ParseLeaveOut(s string) (LeaveOut, error) {
	from, to, isRange := strings.Cut(s, "-")
	if a, err := strconv.Atoi(from); err == nil && a > 0 {
		b := a
		if isRange {
			if b, err = strconv.Atoi(to); err != nil || b < a {
				return LeaveOut{}, fmt.Errorf("%q is no range of bars: write it as 7-9", s)
			}
		}
		return LeaveOut{From: a, To: b}, nil
	}
	for rule := range rules.Severities() {
		if rule == s || strings.HasPrefix(rule, s+"/") {
			return LeaveOut{Rule: s}, nil
		}
	}
	return LeaveOut{}, fmt.Errorf("%q is neither a rule, a group of rules nor a bar: write hands/tight, hands, 7 or 7-9", s)
}

func (l LeaveOut) covers(f rules.Finding) bool {
	if l.Rule != "" {
		return f.Rule == l.Rule || strings.HasPrefix(f.Rule, l.Rule+"/")
	}
	return f.Bar > 0 && f.Bar <= l.To && f.EndBar >= l.From
}

// kept are the findings that stay, and how many do not.
func kept(all []rules.Finding, out []LeaveOut) (stay []rules.Finding, left int) {
	for _, f := range all {
		gone := false
		for _, l := range out {
			gone = gone || l.covers(f)
		}
		if gone {
			left++
			continue
		}
		stay = append(stay, f)
	}
	return stay, left
}
