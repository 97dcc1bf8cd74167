package rules

import (
	"context"
	"slices"
	"sort"
	"strings"

	"fourfold/parser/score"
)

// Result is what is found in a score. Tunes that are long are read by sections: their
// parts are not kept, and their findings lie on shelves.
type Result struct {
	Parts    []*Part   // of the tunes that are read as one
	Findings []Finding // but for those on shelves; in the order of the text
	Long     []*Long   // by tune; nil for one that is read as one
}

// Read reads every harp part of a score. The only error is the context's.
func Read(ctx context.Context, text []byte, s *score.Score, set Settings) (*Result, error) {
	r := &Result{Long: make([]*Long, len(s.Tunes))}
	allowed := allowancesOf(text)
	findings := chosenSeverities(allowed.pass(notation("", s.Problems)), set)
	for i, t := range s.Tunes {
		own, wrong := set.ForTune(t)
		var found []Finding
		if own.IsLong(t) {
			long, err := readLong(ctx, text, t, own)
			if err != nil {
				return nil, err
			}
			r.Long[i] = long.passed(t, allowed)
			found = append(notation(t.Number, t.Problems), afar(wrong)...)
			findings = append(findings, r.Long[i].Extra...)
		} else {
			parts, tuneFound, err := RunTune(ctx, text, t, set)
			if err != nil {
				return nil, err
			}
			r.Parts, found = append(r.Parts, parts...), tuneFound
		}
		findings = append(findings, chosenSeverities(allowed.pass(found), own)...)
	}
	findings = append(findings, chosenSeverities(afar(allowed.stale()), set)...)
	r.Findings = inOrder(onceEach(findings))
	return r, nil
}

// All are all findings, in the order of the text.
func (r *Result) All(s *score.Score) []Finding {
	all := r.Findings
	for i, l := range r.Long {
		if l != nil {
			all = l.append(slices.Clip(all), s.Tunes[i])
		}
	}
	if len(all) == len(r.Findings) {
		return all
	}
	return inOrder(all)
}

// Run reads every harp part of a score and gives its parts and the findings in the
// order of the text. The parts of a long tune are made for this; to keep them takes
// some 100 kB a line. The only error is the context's.
func Run(ctx context.Context, text []byte, s *score.Score, set Settings) ([]*Part, []Finding, error) {
	r, err := Read(ctx, text, s, set)
	if err != nil {
		return nil, nil, err
	}
	parts, err := r.AllParts(ctx, text, s, set)
	if err != nil {
		return nil, nil, err
	}
	return parts, r.All(s), nil
}

// AllParts are the parts of all tunes; those of long tunes are made for this. The only
// error is the context's.
func (r *Result) AllParts(ctx context.Context, text []byte, s *score.Score, set Settings) (parts []*Part, err error) {
	if !slices.ContainsFunc(r.Long, func(l *Long) bool { return l != nil }) {
		return r.Parts, nil
	}
	for i, t := range s.Tunes {
		if r.Long[i] == nil {
			parts = append(parts, r.PartsOf(t)...)
			continue
		}
		own, _ := set.ForTune(t)
		for _, player := range Players(t) {
			p, err := NewPart(ctx, text, t, player, own.passing())
			if err != nil {
				return nil, err
			}
			parts = append(parts, p)
		}
	}
	return parts, nil
}

// HasParts says whether there is any part for a harp.
func (r *Result) HasParts() bool {
	return len(r.Parts) > 0 || slices.ContainsFunc(r.Long, func(l *Long) bool { return l != nil && len(l.Players) > 0 })
}

// PartsNear are the parts that have notes in a span of the text: of a tune that is read as
// one the whole part, of a long one those of the sections that the span touches, which
// are read for this. The only error is the context's.
func (r *Result) PartsNear(ctx context.Context, text []byte, s *score.Score, span score.Span, set Settings) (parts []*Part, err error) {
	for i, t := range s.Tunes {
		if t.Span.Start >= max(span.End, span.Start+1) || t.Span.End < span.Start {
			continue
		}
		if r.Long[i] == nil {
			parts = append(parts, r.PartsOf(t)...)
			continue
		}
		from, to := BarsIn(t, span)
		near, err := r.Long[i].partsIn(ctx, text, t, from, to)
		if err != nil {
			return nil, err
		}
		parts = append(parts, near...)
	}
	return parts, nil
}

// PartsOf are the parts of a tune that is read as one.
func (r *Result) PartsOf(t *score.Tune) (out []*Part) {
	for _, p := range r.Parts {
		if p.Tune == t {
			out = append(out, p)
		}
	}
	return out
}

// BarsIn are the numbers of the first and the last bar that have a byte in a span; from is
// larger than to where there is none.
func BarsIn(t *score.Tune, span score.Span) (from, to int) {
	from, to = t.Bars()+1, 0
	if bar, ok := t.BarAt(span.Start); ok {
		from, to = bar, bar
	}
	for _, v := range t.Voices {
		first := sort.Search(v.Len(), func(i int) bool { return v.BarStart(i) > span.Start })
		last := sort.Search(v.Len(), func(i int) bool { return v.BarStart(i) >= span.End })
		if first < last {
			from, to = min(from, v.Number(first)), max(to, v.Number(last-1))
		}
	}
	return from, to
}

// RunTune reads the harp parts of one tune as one. The only error is the context's, which
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
		p.byPlace = nil // only the rules ask
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
