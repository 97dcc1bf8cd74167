package rules

import (
	"bytes"
	"fmt"
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
	group, _, _ := strings.Cut(f.Rule, "/")
	for i := range all {
		a := &all[i]
		if f.Span.Start < a.over.Start || f.Span.Start >= a.over.End {
			continue
		}
		for _, r := range a.rules {
			if r == f.Rule || r == group {
				a.used, ok = true, true
			}
		}
	}
	return ok
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
