package analysis

import (
	"bytes"
	"context"
	"reflect"
	"slices"

	"fourfold/analysis/fix"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// Glimpse is what can be said of a text at once after an edit: what the bars around
// it decide is worked out anew, and all other findings are those of before, moved to
// where they now stand. Findings that rest on more of the tune (see rules.Rule) are
// kept as they were but for those that the edit touches. Whole says all.
type Glimpse struct {
	file     *syntax.File
	score    *score.Score
	settings rules.Settings
	memory   *rules.Memory
	fixes    *fix.Memory
	answers  answers
	kept     kept            // but for the notation's, and those of long tunes
	long     shelvedLong     // those of long tunes
	notation []rules.Finding // in order of the text
	near     *rules.Near     // what was read last; nil for nothing
	tune     *score.Tune     // whose bars those are
	asked    [2]int          // which of them were asked about
}

// shortTune is up to how many bars reading the whole is as quick.
const shortTune = 64

// mostAtOnce is how many changed bars are looked at at once; beyond, reading the
// whole is as quick.
const mostAtOnce = 48

// Glimpse is where later edits go on from.
func (r *Reading) Glimpse() *Glimpse { return r.glimpse }

// newGlimpse puts the findings of a reading where later edits go on from.
func newGlimpse(file *syntax.File, s *score.Score, settings rules.Settings, m *rules.Memory, fixes *fix.Memory, result *rules.Result) *Glimpse {
	g := &Glimpse{file: file, score: s, settings: settings, memory: m, fixes: fixes}
	var rest []rules.Finding
	for _, f := range result.Findings {
		if f.IsNotation() {
			g.notation = append(g.notation, f)
		} else {
			rest = append(rest, f)
		}
	}
	g.kept, g.long = shelve(rest), longOf(result)
	return g
}

// Begin is what is known of a text before it is read: its music, without findings. What
// the edits did not touch is taken over from a reading of an earlier text; nil for none.
func Begin(before *Reading, file *syntax.File, settings rules.Settings) *Glimpse {
	if before == nil {
		return &Glimpse{file: file, score: score.Build(file), settings: settings, memory: rules.NewMemory(), fixes: &fix.Memory{}}
	}
	g := &Glimpse{file: file, score: score.Update(before.score, before.file, file), settings: settings, memory: before.memory, fixes: before.fixes}
	if !reflect.DeepEqual(before.settings, settings) {
		g.fixes = &fix.Memory{}
	}
	return g
}

// Edit takes the file that replacing the bytes from start to end by some others has led
// to. It is nil where the edit may reach further than the bars around it: into a header, a
// field, a direction, the number of bars; and where the context has ended.
func (g *Glimpse) Edit(ctx context.Context, file *syntax.File, start, end int) *Glimpse {
	moved := len(file.Text()) - len(g.file.Text())
	if !onlyMusic(g.file, start, end) || !onlyMusic(file, start, end+moved) {
		return nil
	}
	next := &Glimpse{file: file, score: score.Update(g.score, g.file, file), settings: g.settings, memory: g.memory, fixes: g.fixes}
	i := tuneAt(g.score, start, end)
	if i < 0 || len(next.score.Tunes) != len(g.score.Tunes) {
		return nil
	}
	was, is := g.score.Tunes[i], next.score.Tunes[i]
	if is.Bars() <= shortTune {
		return nil
	}
	from, to, ok := score.Changed(was, is, moved)
	if !ok || to-from >= mostAtOnce {
		return nil
	}
	next.notation = rules.Notated(file.Text(), next.score, g.settings)
	c := change{start, end, moved}
	next.kept = g.kept.after(c)
	if from > to && len(was.Voices) == len(is.Voices) { // nothing that sounds has changed
		bar, _ := is.BarAt(start)
		next.long = g.long.after(i, was, is, c, bar, bar, nil, [2]int{})
		return next
	}
	asked := [2]int{max(1, from-reach), min(to+reach, max(to, is.Bars()))}
	near, err := rules.Nearby(ctx, file.Text(), is, asked[0], asked[1], g.settings.Remembering(g.memory))
	if err != nil {
		return nil
	}
	next.near, next.tune, next.asked = near, is, [2]int{asked[0], to + reach}
	if next.long = g.long.after(i, was, is, c, near.From, near.To, near, next.asked); next.long[i] == nil {
		next.kept.replace(is, near, next.asked[0], next.asked[1])
	}
	return next
}

// reach is how many bars on each side of a changed one its findings may change in.
const reach = 2

// onlyMusic says whether the lines that a span touches hold nothing but music, words
// and remarks that tell Fourfold nothing.
func onlyMusic(f *syntax.File, start, end int) bool {
	for i := f.LineAt(start); i < f.Lines() && (f.Start(i) <= end); i++ {
		switch l := f.Line(i); {
		case l.Kind == syntax.MusicLine, l.Kind == syntax.FieldLine && l.Field == 'w':
		case l.Kind == syntax.CommentLine && l.Zone == syntax.TuneBody && !bytes.Contains(f.LineText(i), []byte("fourfold")):
		default:
			return false
		}
	}
	return true
}

// tuneAt is the index of the tune that holds a span, -1 for none.
func tuneAt(s *score.Score, start, end int) int {
	for i, t := range s.Tunes {
		if t.Span.Start <= start && end <= t.Span.End {
			return i
		}
	}
	return -1
}

// Whole reads the whole text. Its only error is the context's.
func (g *Glimpse) Whole(ctx context.Context) (*Reading, error) {
	return read(ctx, g.file, g.score, g.settings, g.memory, g.fixes)
}

// File is the tree of the text.
func (g *Glimpse) File() *syntax.File { return g.file }

// Score is the music.
func (g *Glimpse) Score() *score.Score { return g.score }

// Pick gives the findings that matter most to somebody at a place of the text, in
// the order of the text, and how many more there are. See pick.
func (g *Glimpse) Pick(limit, point int) (findings []rules.Finding, more int) {
	return pick(g.stores(), limit, point)
}

// At are the findings that cover a byte of the text.
func (g *Glimpse) At(offset int) []rules.Finding {
	return slices.DeleteFunc(g.Touching(score.Span{Start: offset, End: offset + 1}), func(f rules.Finding) bool {
		return f.Span.Start > offset || f.Span.End <= offset
	})
}

// HandsNear are parts that hold the notes in a span of bytes as the whole has them, without
// pedals and repeats, which rest on more. The only error is the context's.
func (g *Glimpse) HandsNear(ctx context.Context, span score.Span) (parts []*rules.Part, err error) {
	for _, t := range g.score.Tunes {
		near, err := g.handsOf(ctx, t, span)
		if err != nil {
			return nil, err
		}
		parts = append(parts, near...)
	}
	return parts, nil
}

// handsOf are those of one tune.
func (g *Glimpse) handsOf(ctx context.Context, t *score.Tune, span score.Span) ([]*rules.Part, error) {
	from, to := rules.BarsIn(t, span)
	if from > to || t.Span.Start >= max(span.End, span.Start+1) || t.Span.End < span.Start {
		return nil, nil
	}
	if g.tune == t && from >= g.asked[0] && to <= g.asked[1] {
		return g.near.Parts, nil
	}
	near, err := rules.PartsNear(ctx, g.file.Text(), t, from, to, g.settings.Remembering(g.memory))
	if err != nil {
		return nil, err
	}
	return near.Parts, nil
}

// Card describes the finger group that the note at a byte offset belongs to, from the
// music around it.
func (g *Glimpse) Card(ctx context.Context, offset int) (rules.Card, bool) {
	i := tuneAt(g.score, offset, offset)
	if i < 0 {
		return rules.Card{}, false
	}
	t := g.score.Tunes[i]
	bar, ok := t.BarAt(offset)
	if !ok {
		return rules.Card{}, false
	}
	if g.tune == t && bar >= g.asked[0] && bar <= g.asked[1] {
		if c, short, ok := g.near.Card(t, offset); !short {
			return c, ok
		}
	}
	for more := 0; ; more = 4*more + 4 {
		near, err := rules.PartsNear(ctx, g.file.Text(), t, bar, min(bar+more, t.Bars()), g.settings.Remembering(g.memory))
		if err != nil {
			return rules.Card{}, false
		}
		if c, short, ok := near.Card(t, offset); !short {
			return c, ok
		}
	}
}
