package review

import (
	"context"
	"fmt"
	"html/template"
	"slices"
	"sort"
	"strings"
	"sync"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Sheet is all that a page says.
type Sheet struct {
	File      string
	Title     string
	Home      string
	Sections  []*Section
	Notation  []FindingView // what is wrong with the notation, in the order of the text
	Rules     []rules.Rule  // those that found something
	LeftOut   int
	NotDrawn  int  // passages without a picture
	Shortened int  // of which those that are told in a line each
	Engraved  bool // passages stand in notes too
	Summary   Summary
	ByWeight  bool
	HandsSaid bool // a limit of hands is named
}

// Section is one player's tune.
type Section struct {
	ID, Title   string
	Lead        Lead
	Remarks     []Remark // about the whole tune
	Passages    []*Passage
	Loads       []template.HTML
	Feet        *FeetView  // nil on a harp without pedals
	Levers      *LeverView // nil on a harp without levers
	Instrument  string
	HandProfile string

	part         *rules.Part
	tune, player int // which tune of the score, which part of the tune
	bars         []barLoad
	worst        rules.Tightest
	footwork     footwork
}

// newSheet groups the findings by part and passage.
func newSheet(in Input, o Options) *Sheet {
	s := &Sheet{File: visible(in.Name), Home: o.Home, ByWeight: o.ByWeight, Engraved: in.Engrave != nil}
	findings, left := kept(in.Reading.Findings(), o.LeaveOut)
	s.LeftOut = left
	parts := in.Reading.Parts()
	byPart := make([][]rules.Finding, len(parts))
	lines := lineCounter{text: in.Text}
	for _, f := range findings {
		if i, ok := partOf(parts, f); ok {
			byPart[i] = append(byPart[i], f)
		} else {
			s.Notation = append(s.Notation, notationView(f, lines.at(f.Span.Start)))
		}
	}
	for i := range parts {
		s.Sections = append(s.Sections, newSection(in, parts, i, byPart[i]))
	}
	s.title(in)
	s.choose(o)
	s.usedRules(findings)
	s.Summary = s.summarise()
	return s
}

// partOf finds the part that a finding of hands, strings, feet or tempo is about.
func partOf(parts []*rules.Part, f rules.Finding) (int, bool) {
	if f.Bar < 1 || strings.HasPrefix(f.Rule, "notation/") {
		return 0, false
	}
	for i, p := range parts {
		if p.Tune.Number == f.Tune && p.Player.Has(f.Voice) && p.Tune.Span.Holds(f.Span) {
			return i, true
		}
	}
	return 0, false
}

func notationView(f rules.Finding, line int) FindingView {
	n := numbered{Finding: f}
	v := FindingView{Rule: f.Rule, RuleTitle: ruleTitle(f.Rule), Severity: n.severityWord(), Source: f,
		Message: quoted(f.Message), Advice: quoted(f.Advice), LineNumber: line, Where: fmt.Sprintf("line %d", line)}
	if f.Bar > 0 {
		v.Where = fmt.Sprintf("bar %d, %s", f.Bar, v.Where)
	}
	if f.Voice != "" {
		v.Where += ", voice " + visible(f.Voice)
	}
	return v
}

// lineCounter counts lines up to offsets that mostly rise.
type lineCounter struct {
	text       []byte
	done, line int
}

func (l *lineCounter) at(offset int) int {
	offset = max(0, min(offset, len(l.text)))
	if offset < l.done {
		l.done, l.line = 0, 0
	}
	for ; l.done < offset; l.done++ {
		c := l.text[l.done]
		if c == '\n' || c == '\r' && (l.done+1 == len(l.text) || l.text[l.done+1] != '\n') {
			l.line++
		}
	}
	return l.line + 1
}

func newSection(in Input, parts []*rules.Part, i int, findings []rules.Finding) *Section {
	p := parts[i]
	sec := &Section{ID: fmt.Sprintf("part-%d", i+1), part: p, Instrument: p.Settings.Instrument.Title, HandProfile: p.Settings.Hand.Name}
	sec.tune, sec.player = PositionOf(parts, in.Reading.Score(), i)
	sec.Title = visible(p.Tune.Title)
	if p.Player.Name != "" && p.Player.Name != p.Tune.Title {
		sec.Title = strings.TrimPrefix(sec.Title+", "+visible(p.Player.Name), ", ")
	}
	if sec.Title == "" {
		sec.Title = "Tune " + visible(p.Tune.Number)
	}
	remarks := remarksOf(in.Text, p.Tune)
	for _, r := range remarks {
		if r.From == 0 {
			sec.Remarks = append(sec.Remarks, r)
		}
	}
	sec.footwork = footworkOf(p)
	sec.bars, sec.worst = loadsOf(p, sec.footwork)
	sec.Passages = passagesOf(p, findings, remarks, sec.ID)
	sec.Lead = leadOf(sec)
	sec.countFindings()
	sec.Remarks = append(sec.Remarks, unplaced(remarks, sec.Passages)...)
	sec.Loads = loadCharts(sec)
	sec.Feet = feetView(sec)
	sec.Levers = leverView(sec)
	return sec
}

// countFindings raises the load of the bars of a finding that says there is too
// little time: the staves as written can ask for more than the hands do when they
// share the notes.
func (sec *Section) countFindings() {
	for _, pa := range sec.Passages {
		for _, f := range pa.located {
			if f.Speed == nil || f.Severity > rules.Warning || f.side < 0 {
				continue
			}
			for bar := f.Bar; bar <= f.EndBar; bar++ {
				if b := at(sec.bars, bar); b != nil {
					b.Hands[f.side] = max(b.Hands[f.side], f.Speed.Load)
				}
			}
		}
	}
}

// draw makes the pictures of a passage: as written and, where the hands would
// share the notes otherwise, as they share them.
func (pa *Passage) draw(p *rules.Part) {
	pa.Pictures = stringsPictures(p, written(p), pa.From, pa.To, pa.located, false)
	if pa.ofHands() && shares(p, pa.From, min(pa.To, pa.From+barsOfOther-1)) {
		pa.Shared = stringsPictures(p, p.Played, pa.From, min(pa.To, pa.From+barsOfOther-1), pa.located, true)
	}
}

// ofHands says that a finding of the passage is about a hand.
func (pa *Passage) ofHands() bool {
	return slices.ContainsFunc(pa.located, func(l located) bool { return l.side >= 0 })
}

// shares says whether the hands divide some bars otherwise than the staves do.
func shares(p *rules.Part, from, to int) bool {
	for side, h := range written(p) {
		if h == p.Played[side] {
			continue
		}
		if !slices.Equal(notesIn(h, from, to), notesIn(p.Played[side], from, to)) {
			return true
		}
	}
	return false
}

func notesIn(h *rules.Hand, from, to int) (out []*score.Note) {
	if h == nil {
		return nil
	}
	for _, plucks := range h.Plucks {
		for _, pl := range plucks {
			if pl.Bar >= from && pl.Bar <= to {
				out = append(out, pl.Note)
			}
		}
	}
	return out
}

// unplaced are remarks on bars in which nothing was found: they stand at the top.
func unplaced(remarks []Remark, passages []*Passage) (out []Remark) {
	for _, r := range remarks {
		beside := r.From == 0
		for _, pa := range passages {
			for _, f := range pa.Findings {
				beside = beside || r.about(f.Source.Bar, max(f.Source.Bar, f.Source.EndBar))
			}
		}
		if !beside {
			out = append(out, r)
		}
	}
	return out
}

// Where says which bars a remark is about.
func (r Remark) Where() string {
	if r.From == 0 {
		return "On the whole"
	}
	return upper(barsWords(r.From, r.To))
}

// PositionOf finds which tune of the score, and which player in it, part i is, where all
// parts of a tune are there.
func PositionOf(parts []*rules.Part, sc *score.Score, i int) (tune, player int) {
	for k, t := range sc.Tunes {
		if t == parts[i].Home() {
			tune = k
		}
	}
	for k := i - 1; k >= 0 && parts[k].Home() == parts[i].Home(); k-- {
		player++
	}
	return tune, player
}

// title is the first tune's, or the file's name.
func (s *Sheet) title(in Input) {
	for _, t := range in.Reading.Score().Tunes {
		if t.Title != "" {
			s.Title = visible(t.Title)
			return
		}
	}
	s.Title = s.File
}

// choose picks the passages that are drawn and puts them in order.
func (s *Sheet) choose(o Options) {
	var all []*Passage
	for _, sec := range s.Sections {
		all = append(all, sec.Passages...)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].weight > all[j].weight })
	for i, pa := range all {
		pa.Drawn = i < o.Pictures
		if !pa.Drawn {
			s.NotDrawn++
		}
	}
	if o.ByWeight {
		for _, sec := range s.Sections {
			sort.SliceStable(sec.Passages, func(i, j int) bool { return sec.Passages[i].weight > sec.Passages[j].weight })
		}
	}
}

// usedRules are the rules with findings, in their own order.
func (s *Sheet) usedRules(findings []rules.Finding) {
	used := map[string]bool{}
	for _, f := range findings {
		used[f.Rule] = true
		s.HandsSaid = s.HandsSaid || strings.HasPrefix(f.Rule, "hands/")
	}
	for _, r := range rules.All() {
		if used[r.Name] {
			s.Rules = append(s.Rules, r)
		}
	}
}

// answer draws the passages and finds their fixes, two at a time.
func (s *Sheet) answer(ctx context.Context, in Input) {
	type job struct {
		sec *Section
		pa  *Passage
	}
	var jobs []job
	for _, sec := range s.Sections {
		for _, pa := range sec.Passages {
			pa.Source = sourceOf(in.Text, sec.part.Player.Voices(), pa.From, pa.To)
			if pa.Drawn {
				jobs = append(jobs, job{sec, pa})
			}
		}
	}
	var wait sync.WaitGroup
	for w := range 2 {
		wait.Go(func() {
			for i := w; i < len(jobs) && ctx.Err() == nil; i += 2 {
				j := jobs[i]
				voices := j.sec.part.Player.Voices()
				j.pa.draw(j.sec.part)
				j.pa.Engraved = engraved(ctx, in, excerpt(in.Text, j.sec.part.Tune, voices, j.pa.From, j.pa.To), j.pa.ID, upper(barsWords(j.pa.From, j.pa.To))+" as notes")
				j.pa.answer(ctx, in, j.sec)
			}
		})
	}
	wait.Wait()
}
