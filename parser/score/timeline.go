package score

import (
	"math"
	"sort"
)

// AssumedTempo is what a score without a number in Q: is read at, in quarters a
// minute. Common practice, no source.
const AssumedTempo = 90

// TempoChoice says what stands in for the tempo of the score, in quarters a
// minute; 0 for nothing.
type TempoChoice struct {
	Override float64 // replaces every Q:
	Default  float64 // where Q: says no number; AssumedTempo without it
}

// Timeline lines the voices of a tune up by bar: bar k of all voices starts
// together and lasts as long as its longest voice. Times are in whole notes
// from the tune's start, in written order, and in seconds by the tempo map. The
// times of a stretch count from its own start.
type Timeline struct {
	before  int       // bars before the first
	starts  []Frac    // of each bar, and the end
	seconds []float64 // the same from the tune's start, whole ticks
	marks   []tempoMark
	assumed bool
	beats   []Frac // usual beat of each bar's meter
}

// tempoMark is one stretch of steady tempo.
type tempoMark struct {
	at       Frac    // where it begins
	seconds  float64 // from the tune's start
	quarters float64 // a minute
	beat     Frac    // of the Q: field; not valid without one
}

// Timeline works the times out.
func (t *Tune) Timeline(choice TempoChoice) *Timeline {
	bars := 0
	rows := make([][]Bar, len(t.Voices))
	for i, v := range t.Voices {
		rows[i] = v.Bars()
		bars = max(bars, len(rows[i]))
	}
	tl := &Timeline{starts: make([]Frac, 1, bars+1), beats: make([]Frac, 0, bars)}
	tl.starts[0] = Zero
	if len(t.Voices) > 0 {
		tl.before = t.Voices[0].Before
	}
	at := Zero
	for k := range bars {
		length, beat := Zero, Frac{}
		for _, row := range rows {
			if k >= len(row) {
				continue
			}
			if l := row[k].Length; l.Valid() && length.Less(l) {
				length = l
			}
			if !beat.Valid() {
				beat = row[k].Meter.Beat
			}
		}
		at = sum(at, length)
		tl.starts = append(tl.starts, at)
		tl.beats = append(tl.beats, beat)
	}
	tl.tempi(t, choice)
	tl.count()
	return tl
}

// tick is what times in seconds are rounded to, bar by bar: 2⁻³⁶ s. Sums of ticks
// are exact, so an edit moves all that follows by one amount to the last bit.
const tick = 1.0 / (1 << 36)

// Tick rounds a time in seconds to a whole number of ticks of 2⁻³⁶ s.
func Tick(seconds float64) float64 { return math.Round(seconds/tick) * tick }

// count adds the bars up.
func (tl *Timeline) count() {
	tl.seconds = make([]float64, len(tl.starts))
	for b := 1; b < len(tl.starts); b++ {
		bar := tl.before + b
		tl.seconds[b] = tl.seconds[b-1] + Tick(tl.Between(bar, Zero, bar+1, Zero))
	}
}

// tempi builds the tempo map: a change in any voice acts on the whole tune.
func (tl *Timeline) tempi(t *Tune, choice TempoChoice) {
	quarters := choice.Default
	if quarters <= 0 {
		quarters = AssumedTempo
	}
	if choice.Override > 0 {
		tl.marks = []tempoMark{{at: Zero, quarters: choice.Override}}
		return
	}
	tl.assumed = true
	tl.marks = []tempoMark{{at: Zero, quarters: quarters}}
	changes := make([]tempoMark, 0, len(t.Tempi))
	for _, q := range t.Tempi {
		if q.PerMinute <= 0 || q.Bar > max(tl.Bars(), t.after)+1 {
			continue
		}
		tl.assumed = false
		if q.Bar > tl.Bars()+1 {
			continue
		}
		changes = append(changes, tempoMark{at: tl.place(q.Bar, q.Onset), quarters: q.PerMinute * 4 * q.Beat.Float(), beat: q.Beat})
	}
	sort.SliceStable(changes, func(i, j int) bool { return changes[i].at.Less(changes[j].at) })
	for _, c := range changes {
		last := &tl.marks[len(tl.marks)-1]
		if c.at.Cmp(last.at) == 0 {
			last.quarters, last.beat = c.quarters, c.beat
			continue
		}
		c.seconds = last.seconds + last.span(c.at)
		tl.marks = append(tl.marks, c)
	}
}

// span is the seconds from the mark to a later time at its tempo.
func (m *tempoMark) span(to Frac) float64 {
	d := to.Sub(m.at)
	x := d.Float()
	if !d.Valid() {
		x = to.Float() - m.at.Float()
	}
	return x * 240 / m.quarters
}

// Bars is the number of the last bar.
func (tl *Timeline) Bars() int { return tl.before + len(tl.starts) - 1 }

// Start is where a bar starts; a bar beyond the last starts where the last ends.
func (tl *Timeline) Start(bar int) Frac { return tl.starts[tl.index(bar)] }

// index is a bar's place in the lists.
func (tl *Timeline) index(bar int) int { return max(0, min(bar-1-tl.before, len(tl.starts)-1)) }

// Length is the time that a bar lasts.
func (tl *Timeline) Length(bar int) Frac {
	i := bar - 1 - tl.before
	if i < 0 || i+1 >= len(tl.starts) {
		return Zero
	}
	return sum(tl.starts[i+1], Frac{-tl.starts[i].Num, tl.starts[i].Den})
}

func (tl *Timeline) place(bar int, onset Frac) Frac { return sum(tl.Start(bar), onset) }

// mark finds the stretch that holds a time.
func (tl *Timeline) mark(at Frac) *tempoMark {
	i := sort.Search(len(tl.marks), func(i int) bool { return at.Less(tl.marks[i].at) })
	return &tl.marks[max(0, i-1)]
}

// Seconds is the time from the tune's start to a place in a bar, in whole ticks.
func (tl *Timeline) Seconds(bar int, onset Frac) float64 {
	if len(tl.starts) == 1 {
		return 0
	}
	return tl.seconds[tl.index(bar)] + Tick(tl.Between(bar, Zero, bar, onset))
}

// Between is the time in seconds from one place to a later one; the difference
// is exact where no tempo changes between.
func (tl *Timeline) Between(bar1 int, onset1 Frac, bar2 int, onset2 Frac) float64 {
	a, b := tl.place(bar1, onset1), tl.place(bar2, onset2)
	m, n := tl.mark(a), tl.mark(b)
	if m != n {
		return n.seconds + n.span(b) - m.seconds - m.span(a)
	}
	d := b.Sub(a)
	if !d.Valid() {
		return m.span(b) - m.span(a)
	}
	return d.Float() * 240 / m.quarters
}

// QuartersAt is the tempo in force, in quarters a minute.
func (tl *Timeline) QuartersAt(bar int, onset Frac) float64 {
	return tl.mark(tl.place(bar, onset)).quarters
}

// BeatAt is the note that is counted: that of the Q: field in force, else the
// usual beat of the meter.
func (tl *Timeline) BeatAt(bar int, onset Frac) Frac {
	if b := tl.mark(tl.place(bar, onset)).beat; b.Valid() {
		return b
	}
	if i := bar - 1 - tl.before; i >= 0 && i < len(tl.beats) && tl.beats[i].Valid() {
		return tl.beats[i]
	}
	return F(1, 4)
}

// Assumed says that no number in the score gives the tempo: Default or
// AssumedTempo stands for it.
func (tl *Timeline) Assumed() bool { return tl.assumed }
