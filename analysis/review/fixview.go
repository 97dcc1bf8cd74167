package review

import (
	"context"
	"html/template"
	"sort"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// FixView is a proved change: the bars before and after it.
type FixView struct {
	Title    string
	Finding  int // the number of the finding that it answers
	Before   []Stretch
	After    []Stretch
	Pictures []template.HTML // the bars after it
	Hand     string          // the hand of the finding
	Holds    *tempo          // how fast it then goes there, nil where nothing limits it
	Comfort  *tempo
	Engraved template.HTML
}

// answer finds the fix of a passage: of its heaviest finding that has any, the
// first proved one that leaves the tempo alone, else the first; read again so that its picture and its tempi are those of
// the changed text.
func (pa *Passage) answer(ctx context.Context, in Input, sec *Section) {
	for _, i := range byWeight(pa.Findings) {
		f := pa.Findings[i]
		fixes := in.Reading.Fixes(ctx, f.Source)
		if len(fixes) == 0 {
			continue
		}
		show := 0
		for fixes[show].Slower && show+1 < len(fixes) {
			show++
		}
		for i, more := range fixes {
			if i != show {
				pa.More = append(pa.More, visible(more.Title))
			}
		}
		pa.Fix = fixView(ctx, in, sec, pa, f, fixes[show])
		return
	}
}

// barsAround is how many bars on each side are read with those that a change is in:
// what lies further off moves no finger there. Tunes of a few times as many are read
// whole.
const barsAround = 16

// changed is the section's part in a changed text.
type changed struct {
	tune   *score.Tune
	player rules.Player
	part   *rules.Part // as written, of the bars around the change
}

// partAfter reads the section's part in a changed text, as written, around some bars.
// Its rules have been asked by the proof already.
func partAfter(text []byte, sec *Section, from, to int) (c changed, ok bool) {
	tunes := score.Build(syntax.Parse(text)).Tunes
	if sec.tune >= len(tunes) {
		return c, false
	}
	c.tune = tunes[sec.tune]
	players := rules.Players(c.tune)
	if sec.player >= len(players) {
		return c, false
	}
	c.player = players[sec.player]
	near, player := c.tune, c.player
	if near.Bars() > 4*barsAround {
		near = near.Stretch(max(1, from-barsAround), min(near.Bars(), to+barsAround))
		player = player.In(near)
	}
	c.part = rules.WrittenPart(text, near, player, sec.part.Settings)
	return c, true
}

// measure says how fast the hand of the finding then goes in its bars.
func (v *FixView) measure(p *rules.Part, f rules.Finding) {
	only := written(p)
	for side, h := range only {
		if h != nil && h.Name != f.Hand {
			only[side] = nil
		}
	}
	_, worst := p.LoadsIn(only, f.Bar, max(f.Bar, f.EndBar))
	if f.Hand == "" || worst.Load <= 0 {
		return
	}
	v.Hand = f.Hand
	q, beat := tempoAt(p, worst.Pluck.Bar, worst.Pluck.Onset)
	holds, comfort := tempoOf(q/worst.Load, beat), tempoOf(q*p.Settings.Hand.Comfortable/worst.Load, beat)
	v.Holds, v.Comfort = &holds, &comfort
}

func byWeight(list []FindingView) []int {
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return weight(list[order[i]].Source) > weight(list[order[j]].Source) })
	return order
}

func fixView(ctx context.Context, in Input, sec *Section, pa *Passage, f FindingView, fx fix.Fix) *FixView {
	v := &FixView{Title: visible(fx.Title), Finding: f.Number}
	v.Before, v.After = changes(in.Text, sec.part.Player.Voices(), fx.Edits)
	text := score.Apply(in.Text, fx.Edits)
	after, ok := partAfter(text, sec, f.Source.Bar, max(f.Source.Bar, f.Source.EndBar))
	if !ok || ctx.Err() != nil {
		return v
	}
	p := after.part
	v.Pictures = stringsPictures(p, written(p), f.Source.Bar, min(max(f.Source.Bar, f.Source.EndBar), f.Source.Bar+barsOfOther-1), nil, false)
	v.measure(p, f.Source)
	v.Engraved = engraved(ctx, in, excerpt(text, after.tune, after.player.Voices(), pa.From, pa.To), pa.ID+"-after", "The bars with the change, as notes")
	return v
}
