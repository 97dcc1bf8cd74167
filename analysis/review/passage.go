package review

import (
	"fmt"
	"html/template"
	"math"
	"sort"
	"strings"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// mostBars is how many bars of one passage are drawn.
const mostBars = 4

// barsOfOther is how many are drawn once more for another way to play them.
const barsOfOther = 2

// Passage is a few bars with what was found in them.
type Passage struct {
	ID       string
	From, To int // bars drawn
	Findings []FindingView
	Pictures []template.HTML // as written
	Shared   []template.HTML // as the hands share the notes; none where that is the same
	Fix      *FixView
	More     []string // titles of further fixes
	Source   []VoiceText
	Engraved template.HTML // the bars as notes
	Drawn    bool
	Brief    *Brief // instead of all that, where the page has no room
	weight   float64
	located  []located
}

// Title is "Bars 3–4".
func (p *Passage) Title() string { return upper(barsWords(p.From, p.To)) }

// FindingView is one finding in words.
type FindingView struct {
	Number     int
	Rule       string
	RuleTitle  string
	Severity   string // "error", "warning", "hint"
	Where      string // "bar 3, beat 1½, right hand"
	Message    template.HTML
	Advice     template.HTML
	Asked      *tempo
	Comfort    *tempo
	Holds      *tempo
	Ruler      template.HTML
	Load       float64
	Remarks    []Remark
	Fine       bool // the harpist says she can play it
	Source     rules.Finding
	LineNumber int
}

// SeverityWords say what a severity means; shape and word stand beside the
// colour.
func (f FindingView) SeverityWords() string {
	return map[string]string{"error": "cannot be played", "warning": "too much", "hint": "worth knowing"}[f.Severity]
}

// Mark is the sign of a severity.
func (f FindingView) Mark() string {
	return map[string]string{"error": "■", "warning": "▲", "hint": "◆"}[f.Severity]
}

// passagesOf groups the findings of a part by the bars in which they can be seen
// together.
func passagesOf(p *rules.Part, findings []rules.Finding, remarks []Remark, id string) (out []*Passage) {
	sorted := append([]rules.Finding{}, findings...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].Bar < sorted[j].Bar })
	for _, f := range sorted {
		var last *Passage
		if n := len(out); n > 0 && f.Bar <= out[n-1].To {
			last = out[n-1]
		} else {
			last = &Passage{ID: fmt.Sprintf("%s-bar-%d", id, f.Bar), From: f.Bar, To: f.Bar}
			out = append(out, last)
		}
		last.To = max(last.To, min(f.EndBar, last.From+mostBars-1))
		last.add(p, f, remarks)
	}
	return out
}

func (pa *Passage) add(p *rules.Part, f rules.Finding, remarks []Remark) {
	n := numbered{Finding: f, n: len(pa.Findings) + 1}
	l, ok := locate(p, n)
	if ok {
		pa.located = append(pa.located, l)
	}
	pa.Findings = append(pa.Findings, viewOf(p, n, l, ok, remarks))
	pa.weight += weight(f)
}

// weight orders passages: what cannot be played at all, then what asks too
// much, by how much.
func weight(f rules.Finding) float64 {
	w := map[rules.Severity]float64{rules.Error: 1000, rules.Warning: 30, rules.Information: 2}[f.Severity] + 1
	if f.Speed != nil {
		w *= math.Max(1, f.Speed.Load)
	}
	return w
}

func viewOf(p *rules.Part, n numbered, l located, ok bool, remarks []Remark) FindingView {
	f := n.Finding
	v := FindingView{Number: n.n, Rule: f.Rule, RuleTitle: ruleTitle(f.Rule), Severity: n.severityWord(), Source: f,
		Message: quoted(f.Message), Advice: quoted(f.Advice)}
	v.Where = fmt.Sprintf("bar %d", f.Bar)
	onset := score.Zero
	if ok {
		onset = l.first.Onset
		v.Where += ", beat " + beatName(p, l.first.Bar, onset)
	}
	if f.EndBar > f.Bar {
		v.Where += fmt.Sprintf(", to bar %d", f.EndBar)
	}
	if f.Hand != "" {
		v.Where += ", " + f.Hand
	}
	if s := f.Speed; s != nil {
		_, beat := tempoAt(p, f.Bar, onset)
		asked, comfort, holds := tempoOf(s.Tempo, beat), tempoOf(s.ComfortableUpTo, beat), tempoOf(s.HoldsUpTo, beat)
		v.Asked, v.Comfort, v.Holds, v.Load = &asked, &comfort, &holds, s.Load
		v.Ruler = tempoRuler(asked, comfort, holds)
	}
	for _, r := range remarks {
		if r.about(f.Bar, max(f.Bar, f.EndBar)) {
			v.Remarks = append(v.Remarks, r)
			v.Fine = v.Fine || r.Fine
		}
	}
	return v
}

// ruleTitle is the rule's title; notation rules have none and are named.
func ruleTitle(name string) string {
	for _, r := range rules.All() {
		if r.Name == name {
			return r.Title
		}
	}
	_, short, _ := strings.Cut(name, "/")
	return "notation: " + strings.ReplaceAll(short, "-", " ")
}
