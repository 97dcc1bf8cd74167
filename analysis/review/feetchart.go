package review

import (
	"fmt"
	"html/template"
	"math"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// FeetView is the feet of a section: the pedals over time where they move, and
// every full setting.
type FeetView struct {
	Charts   []template.HTML
	Still    string // which bars have no move, in words
	Start    Diagram
	Settings []Diagram
	More     int // settings that are not drawn
	Moves    int
}

// Total is how many settings there are after the first.
func (v *FeetView) Total() int { return len(v.Settings) + v.More }

const (
	mostSettings = 80
	pedalRow     = 30.0
	pedalLevel   = 8.0
	stillRow     = 16.0
	chartTop     = 36.0
	mostCharts   = 40
)

func feetView(sec *Section) *FeetView {
	if sec.footwork.plan == nil {
		return nil
	}
	v := &FeetView{Moves: len(sec.footwork.plan.Moves)}
	all := sec.footwork.settings()
	v.Start = diagramOf(sec.part, all[0])
	rest := all[1:]
	if len(rest) > mostSettings {
		v.More = len(rest) - mostSettings
		rest = rest[:mostSettings]
	}
	for _, s := range rest {
		v.Settings = append(v.Settings, diagramOf(sec.part, s))
	}
	v.Charts, v.Still = feetCharts(sec)
	return v
}

// feetChart is some bars of the picture of the pedals: a row a pedal, its place
// up, middle or down over time.
type feetChart struct {
	drawing
	sec      *Section
	from, to int
	lo, hi   float64
	rows     [feet.Letters]float64 // the middle of each row
	moves    [feet.Letters]bool    // whether the pedal moves in these bars
	divide   float64               // between the feet
	bottom   float64
}

// feetCharts draws the rows of bars in which a pedal moves.
func feetCharts(sec *Section) (out []template.HTML, still string) {
	n := sec.part.Timeline.Bars()
	moves := make([]int, n+2)
	for _, m := range sec.footwork.plan.Moves {
		if b := sec.footwork.place(m).Bar; b >= 1 && b <= n {
			moves[b]++
		}
	}
	var quiet []string
	for from := 1; from <= n; {
		to, count := from, moves[from]
		for to < n && to-from < 11 && count+moves[to+1] <= 14 {
			to++
			count += moves[to]
		}
		if count == 0 {
			quiet = append(quiet, barsWords(from, to))
		} else if len(out) < mostCharts {
			c := &feetChart{sec: sec, from: from, to: to}
			out = append(out, c.draw())
		}
		from = to + 1
	}
	if len(quiet) > 0 && len(out) > 0 && len(quiet) <= 12 {
		still = "No pedal moves in " + rules.List(quiet) + "."
	}
	return out, still
}

func (c *feetChart) x(t float64) float64 {
	return axisWidth + 8 + (t-c.lo)/(c.hi-c.lo)*(chartWidth-axisWidth-40)
}

// y is where a pedal stands in its row: flat is up. A row in which nothing moves
// is one line.
func (c *feetChart) y(row int, p feet.Pos) float64 {
	if !c.moves[row] {
		return c.rows[row]
	}
	return c.rows[row] + float64(p)*pedalLevel
}

// layOut gives each pedal its row and returns where they end.
func (c *feetChart) layOut() float64 {
	for _, m := range c.sec.footwork.plan.Moves {
		for row, l := range feet.PedalOrder {
			c.moves[row] = c.moves[row] || l == m.Letter && c.shows(m)
		}
	}
	y := chartTop
	for row := range c.rows {
		if row == 3 {
			c.divide = y + 5
			y += 10
		}
		height := stillRow
		if c.moves[row] {
			height = pedalRow
		}
		c.rows[row] = y + height/2
		y += height
	}
	return y
}

func (c *feetChart) draw() template.HTML {
	tl := c.sec.part.Timeline
	c.lo, c.hi = tl.Seconds(c.from, score.Zero), tl.Seconds(c.to+1, score.Zero)
	if !(c.hi > c.lo) {
		c.hi = c.lo + 1
	}
	for _, m := range c.sec.footwork.plan.Moves {
		if c.shows(m) {
			c.hi = max(c.hi, min(m.End, c.hi+2))
		}
	}
	c.bottom = c.layOut()
	c.width, c.height = chartWidth, c.bottom+22
	c.axes()
	for row, l := range feet.PedalOrder {
		c.row(row, l)
	}
	return c.picture(fmt.Sprintf("The feet, %s: the place of each pedal over time, and its moves.", barsWords(c.from, c.to)))
}

// shows says whether a move belongs to these bars.
func (c *feetChart) shows(m feet.Move) bool {
	b := c.sec.footwork.place(m).Bar
	return b >= c.from && b <= c.to
}

func (c *feetChart) axes() {
	tl := c.sec.part.Timeline
	for bar := c.from; bar <= c.to; bar++ {
		x := c.x(tl.Seconds(bar, score.Zero))
		c.line("barline", x, 16, x, c.bottom)
		c.text("tiny s faint", x+3, 26, fmt.Sprintf("bar %d", bar))
	}
	c.line("divide", 2, c.divide, chartWidth-24, c.divide)
	c.text("tiny s faint", 2, 11, "pedal: up ♭ · middle ♮ · down ♯")
	c.text("tiny e faint", chartWidth-26, 11, "left foot: D C B · right foot: E F G A")
	c.text("tiny s faint", axisWidth, c.height-6, fmt.Sprintf("time in bars: one bar lasts %.1f s at bar %d", tl.Between(c.from, score.Zero, c.from+1, score.Zero), c.from))
}

// row draws one pedal: its place as a line, its windows as bands, its moves as
// slopes.
func (c *feetChart) row(row int, l feet.Letter) {
	c.text("pedal e", axisWidth-14, c.y(row, feet.Natural)+5, l.String())
	for p := feet.Flat; c.moves[row] && p <= feet.Sharp; p++ {
		c.line("level", axisWidth, c.y(row, p), chartWidth-24, c.y(row, p))
	}
	pos := c.standing(l)
	start := c.x(c.lo)
	c.text("tiny e faint", axisWidth-3, c.y(row, pos)+3.5, pedalName(l, pos)[1:])
	for _, m := range c.sec.footwork.plan.Moves {
		if m.Letter != l || !c.shows(m) {
			continue
		}
		x1, x2 := max(start, c.x(m.At)), max(start, c.x(m.End))
		c.line("stand", start, c.y(row, m.From), x1, c.y(row, m.From))
		c.move(row, m, x1, x2)
		start, pos = x2, m.To
	}
	c.line("stand", start, c.y(row, pos), c.x(c.hi), c.y(row, pos))
}

// standing is where a pedal is when the first of these bars begins.
func (c *feetChart) standing(l feet.Letter) feet.Pos {
	pos := c.sec.footwork.plan.Initial[l]
	last := math.Inf(-1)
	for _, m := range c.sec.footwork.plan.Moves {
		if m.Letter == l && c.sec.footwork.place(m).Bar < c.from && m.Deadline >= last {
			pos, last = m.To, m.Deadline
		}
	}
	return pos
}

func (c *feetChart) move(row int, m feet.Move, x1, x2 float64) {
	left, right := max(axisWidth, c.x(m.Release)), c.x(m.Deadline)
	c.mark("window", c.windowWords(m), func() { c.rect("win", left, c.y(row, feet.Flat)-4, max(2, right-left), 2*pedalLevel+8, 3) })
	class := "move"
	if m.Late > 0 {
		class = "move late"
	}
	c.mark(class, c.moveWords(m), func() {
		c.line("slope", x1, c.y(row, m.From), x2, c.y(row, m.To))
		c.circle("foot", x1, c.y(row, m.From), 2.6)
		c.text("move-name s", x2+3, c.y(row, m.To)+4, pedalName(m.Letter, m.To))
		if m.Late > 0 {
			c.text("tiny s late-name", x2+20, c.y(row, m.To)+4, rules.Seconds(m.Late)+" late")
		}
	})
}

func (c *feetChart) windowWords(m feet.Move) string {
	return fmt.Sprintf("The time that the %s foot has to set %s: %s.", m.Foot, pedalName(m.Letter, m.To), rules.Seconds(m.Deadline-m.Release))
}

func (c *feetChart) moveWords(m feet.Move) string {
	pl := c.sec.footwork.place(m)
	words := fmt.Sprintf("%s to %s with the %s foot, for bar %d beat %s", pedalName(m.Letter, m.From), pedalName(m.Letter, m.To), m.Foot,
		pl.Bar, beatName(c.sec.part, pl.Bar, pl.Onset))
	if m.Crossed {
		words += ", reaching over the middle"
	}
	if m.Rings {
		words += ", while a string of it still rings"
	}
	switch {
	case m.Late > 0 && m.Hurried:
		words += fmt.Sprintf("; %s late, in time only in a hurry", rules.Seconds(m.Late))
	case m.Late > 0:
		words += fmt.Sprintf("; %s late", rules.Seconds(m.Late))
	}
	return words + "."
}
