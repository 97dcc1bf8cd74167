package rules

import (
	"context"
	"sort"
	"strings"

	"fourfold/parser/score"
)

// Run reads every harp part of a score and gives its parts and the findings in
// the order of the text. The only error is the context's.
func Run(ctx context.Context, text []byte, s *score.Score, set Settings) ([]*Part, []Finding, error) {
	var parts []*Part
	allowed := allowancesOf(text)
	findings := chosenSeverities(allowed.pass(notation("", s.Problems)), set)
	for _, t := range s.Tunes {
		tuneParts, found, err := RunTune(ctx, text, t, set)
		if err != nil {
			return nil, nil, err
		}
		parts = append(parts, tuneParts...)
		own, _ := set.ForTune(t)
		findings = append(findings, chosenSeverities(allowed.pass(found), own)...)
	}
	findings = append(findings, chosenSeverities(afar(allowed.stale()), set)...)
	return parts, inOrder(onceEach(findings)), nil
}

// RunTune reads the harp parts of one tune. The only error is the context's, which
// is looked at between the rules and between the places where the hands share.
func RunTune(ctx context.Context, text []byte, t *score.Tune, set Settings) (parts []*Part, findings []Finding, err error) {
	set, wrong := set.ForTune(t)
	findings = append(notation(t.Number, t.Problems), afar(wrong)...)
	for _, player := range Players(t) {
		p, err := NewPart(ctx, text, t, player, set)
		if err != nil {
			return nil, nil, err
		}
		parts = append(parts, p)
		for _, rule := range All() {
			if err := ctx.Err(); err != nil {
				return nil, nil, err
			}
			findings = append(findings, rule.find(p)...)
		}
		if f, ok := assumedTempo(p, findings); ok {
			findings = append(findings, afar([]Finding{f})...)
		}
	}
	return parts, findings, ctx.Err()
}

// afar marks findings that depend on more than the music around them.
func afar(in []Finding) []Finding {
	for i := range in {
		in[i].far = true
	}
	return in
}

// notation turns what the parser found into findings.
func notation(tune string, problems []score.Problem) (out []Finding) {
	for _, pr := range problems {
		s, ok := severities[pr.Rule]
		if !ok {
			s = Warning
		}
		out = append(out, Finding{Rule: pr.Rule, Severity: s, Tune: tune, Voice: pr.Voice, Bar: pr.Bar, EndBar: pr.Bar,
			Span: pr.Span, Message: pr.Message, Certain: pr.Fixes, notation: true})
	}
	return out
}

// chosenSeverities applies what the settings say of each rule.
func chosenSeverities(in []Finding, set Settings) []Finding {
	out := make([]Finding, 0, len(in))
	for _, f := range in {
		if s, ok := chosen(set.Severity, f.Rule); ok {
			f.Severity = s
		}
		if f.Severity != Off {
			out = append(out, f)
		}
	}
	return out
}

// onceEach says only once what a line of the file's header has wrong in every
// tune; it then belongs to no tune.
func onceEach(in []Finding) []Finding {
	at := map[score.Span]int{}
	out := in[:0]
	for _, f := range in {
		if f.Rule == settingName {
			if i, ok := at[f.Span]; ok && out[i].Message == f.Message {
				out[i].Tune = ""
				continue
			}
			at[f.Span] = len(out)
		}
		out = append(out, f)
	}
	return out
}

// inOrder sorts by place in the text, the worst first.
func inOrder(out []Finding) []Finding {
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.Span.Start != b.Span.Start {
			return a.Span.Start < b.Span.Start
		}
		return a.Severity < b.Severity
	})
	return out
}

// chosen finds a rule's setting, or that of its group ("hands").
func chosen(table map[string]Severity, rule string) (Severity, bool) {
	if s, ok := table[rule]; ok {
		return s, true
	}
	group, _, _ := strings.Cut(rule, "/")
	s, ok := table[group]
	return s, ok
}
