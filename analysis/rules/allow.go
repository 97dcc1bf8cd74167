package rules

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"fourfold/parser/score"
)

const staleName = "fourfold/stale-allowance"

// StaleAllowance finds allowances for which there is no finding any more.
var StaleAllowance = Rule{
	Name:  staleName,
	Title: "an allowance that nothing needs",
	Doc: `A remark on the line before a line of music lets something there pass that you mean as it is, or that
your player has agreed to:

    % fourfold: allow hands/turn — the player asked for it

It names a rule, several, or a group of them such as hands; what follows a dash is the reason. Findings of
these rules that begin on the next line of the file that is no remark are not shown.

Fails: such a remark above a line where the rule finds nothing. Passes: one above a line where it does.

What to do: take the remark away, so that it hides nothing that comes later.

Where the rules' names come from: fourfold explain lists them.`,
}

var allowPrefix = []byte("fourfold: allow")

// allowance is one remark that lets findings pass.
type allowance struct {
	rules []string
	span  score.Span // of the remark
	line  score.Span // of the remark with its line end
	over  score.Span // of the line that it is about
	used  bool
}

// allowances are the remarks of a text.
type allowances []allowance

// allowancesOf reads the remarks `% fourfold: allow RULE… — reason`.
func allowancesOf(text []byte) (all allowances) {
	if !bytes.Contains(text, allowPrefix) {
		return nil
	}
	waiting := 0
	for at := 0; at < len(text); {
		end := at + lineLength(text[at:])
		line := bytes.TrimRight(text[at:end], "\r\n")
		if a, ok := readAllowance(line, at); ok {
			a.line = score.Span{Start: at, End: end}
			all = append(all, a)
		} else if !isRemark(line) {
			for ; waiting < len(all); waiting++ {
				all[waiting].over = score.Span{Start: at, End: end}
			}
		}
		at = end
	}
	return all
}

func lineLength(text []byte) int {
	for i, c := range text {
		if c == '\n' || c == '\r' && (i+1 == len(text) || text[i+1] != '\n') {
			return i + 1
		}
	}
	return len(text)
}

// lineStart is where the line that holds a byte begins.
func lineStart(text []byte, at int) int {
	for at > 0 && text[at-1] != '\n' && (text[at-1] != '\r' || text[at] == '\n') {
		at--
	}
	return at
}

func isRemark(line []byte) bool {
	line = bytes.TrimLeft(line, " \t")
	return bytes.HasPrefix(line, []byte("%")) && !bytes.HasPrefix(line, []byte("%%"))
}

// readAllowance reads one line of the text that stands at an offset.
func readAllowance(line []byte, at int) (allowance, bool) {
	if !isRemark(line) {
		return allowance{}, false
	}
	words := bytes.TrimLeft(line, " \t%")
	rest, ok := bytes.CutPrefix(words, allowPrefix)
	if !ok {
		return allowance{}, false
	}
	a := allowance{span: score.Span{Start: at, End: at + len(line)}}
	for _, w := range strings.Fields(string(rest)) {
		if w == "—" || w == "–" || w == "-" || w == "--" {
			break
		}
		if w = strings.Trim(w, ","); w != "" {
			a.rules = append(a.rules, w)
		}
	}
	return a, true
}

// allows says whether a finding may pass, and remembers that something did.
func (all allowances) allows(f Finding) (ok bool) {
	for i := range all {
		a := &all[i]
		if f.Span.Start >= a.over.Start && f.Span.Start < a.over.End && a.names(f.Rule) {
			a.used, ok = true, true
		}
	}
	return ok
}

// names says whether the remark names a rule or its group.
func (a *allowance) names(rule string) bool {
	group, _, _ := strings.Cut(rule, "/")
	return slices.Contains(a.rules, rule) || slices.Contains(a.rules, group)
}

// notAllowed leaves out the findings that a remark above their line lets pass. It looks
// at the lines above each finding alone: what it costs does not grow with the text.
func notAllowed(text []byte, in []Finding) []Finding {
	return slices.DeleteFunc(in, func(f Finding) bool { return isAllowed(text, f) })
}

// isAllowed gives what allowances.allows gives for those of the whole text.
func isAllowed(text []byte, f Finding) bool {
	if f.Span.Start >= len(text) {
		return false
	}
	line := lineStart(text, f.Span.Start)
	if isRemark(text[line:]) {
		return false
	}
	for line > 0 {
		above := lineStart(text, line-1)
		remark := bytes.TrimRight(text[above:line], "\r\n")
		if !isRemark(remark) {
			return false
		}
		if a, ok := readAllowance(remark, above); ok && a.names(f.Rule) {
			return true
		}
		line = above
	}
	return false
}

// pass leaves out the findings that are allowed.
func (all allowances) pass(in []Finding) []Finding {
	if len(all) == 0 {
		return in
	}
	var out []Finding
	for _, f := range in {
		if !all.allows(f) {
			out = append(out, f)
		}
	}
	return out
}

// stale makes a finding of each allowance that let nothing pass.
func (all allowances) stale() (out []Finding) {
	for _, a := range all {
		if a.used {
			continue
		}
		f := Finding{Rule: staleName, Severity: severities[staleName], Span: a.span,
			Certain: []score.TextFix{{Title: "Take the allowance away", Edits: []score.Edit{{Span: a.line}}}}}
		switch {
		case len(a.rules) == 0:
			f.Message = "This remark names no rule: write for example `% fourfold: allow hands/turn — the player asked for it`."
		default:
			f.Message = fmt.Sprintf("Nothing of %s is found on the line after this remark: take it away.", list(a.rules))
		}
		out = append(out, f)
	}
	return out
}

// Allowance is the remark that lets a finding of a rule pass, without its line end.
func Allowance(rule, reason string) string {
	return "% " + string(allowPrefix) + " " + rule + " — " + reason
}
