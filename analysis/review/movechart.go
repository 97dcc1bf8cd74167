package review

import (
	"fmt"
	"html/template"
	"math"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

// Sizes of the charts of moves.
const (
	trackHeight = 30.0 // of a row in which something moves
	trackLevel  = 8.0  // between two places
	stillHeight = 16.0 // of a row in which nothing does
	chartTop    = 36.0
	mostCharts  = 40
)

// track is one row of a chart of moves: a pedal, or the lever of a string.
type track struct {
	name   string
	start  int            // the place before the piece: -1 up, 0 in the middle, 1 down
	places map[int]string // each place with the sign of what sounds there
	moves  []trackMove    // in order of their deadlines
}

// trackMove is one move in a track. Times are seconds.
type trackMove struct {
	bar               int // of the note that needs it
	at, end           float64
	release, deadline float64
	from, to          int
	name              string // "C♯"
	late              string // "0.12 s late", "no hand free"; "" where it is in time
	square            bool   // the shape of who makes it
	words, window     string // what is read out of the move, and of the time for it
}

// moveChart is some bars of a chart of moves over time.
type moveChart struct {
	drawing
	tl           *score.Timeline
	tracks       []track
	divide       int       // a line stands above this track; 0 for none
	heads        [2]string // what the places and the rows mean
	name         string    // "The feet: the place of each pedal over time"
	from, to     int
	lo, hi       float64
	rows         []float64 // the middle of each row
	moving       []bool
	divideY, end float64
}

// moveCharts draws the rows of bars in which something moves and names the rest.
// A track of which keep is false is left out of bars in which it rests.
func moveCharts(c moveChart, keep bool) (out []template.HTML, still string) {
	n := c.tl.Bars()
	moves := make([]int, n+2)
	for _, t := range c.tracks {
		for _, m := range t.moves {
			if m.bar >= 1 && m.bar <= n {
				moves[m.bar]++
			}
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
			out = append(out, c.bars(from, to, keep).draw())
		}
		from = to + 1
	}
	if len(quiet) > 0 && len(out) > 0 && len(quiet) <= 12 {
		still = rules.List(quiet)
	}
	return out, still
}

// bars is a chart of some bars.
func (c moveChart) bars(from, to int, keep bool) *moveChart {
	c.from, c.to = from, to
	all := c.tracks
	c.tracks, c.moving = nil, nil
	for _, t := range all {
		moving := false
		for _, m := range t.moves {
			moving = moving || c.shows(m)
		}
		if moving || keep {
			c.tracks, c.moving = append(c.tracks, t), append(c.moving, moving)
		}
	}
	return &c
}

// shows says whether a move belongs to these bars.
func (c *moveChart) shows(m trackMove) bool { return m.bar >= c.from && m.bar <= c.to }

func (c *moveChart) x(t float64) float64 {
	return axisWidth + 8 + (t-c.lo)/(c.hi-c.lo)*(chartWidth-axisWidth-40)
}

// y is the height of a place in a row. A row in which nothing moves is one line.
func (c *moveChart) y(row, place int) float64 {
	if !c.moving[row] {
		return c.rows[row]
	}
	return c.rows[row] + float64(place)*trackLevel
}

// layOut gives each track its row.
func (c *moveChart) layOut() {
	y := chartTop
	for row := range c.tracks {
		if row == c.divide && row > 0 {
			c.divideY = y + 5
			y += 10
		}
		height := stillHeight
		if c.moving[row] {
			height = trackHeight
		}
		c.rows = append(c.rows, y+height/2)
		y += height
	}
	c.end = y
	c.width, c.height = chartWidth, c.end+22
}

func (c *moveChart) draw() template.HTML {
	c.lo, c.hi = c.tl.Seconds(c.from, score.Zero), c.tl.Seconds(c.to+1, score.Zero)
	if !(c.hi > c.lo) {
		c.hi = c.lo + 1
	}
	for _, t := range c.tracks {
		for _, m := range t.moves {
			if c.shows(m) {
				c.hi = max(c.hi, min(m.end, c.hi+2))
			}
		}
	}
	c.layOut()
	c.axes()
	for row, t := range c.tracks {
		c.row(row, t)
	}
	return c.picture(fmt.Sprintf("%s, %s.", c.name, barsWords(c.from, c.to)))
}

func (c *moveChart) axes() {
	for bar := c.from; bar <= c.to; bar++ {
		x := c.x(c.tl.Seconds(bar, score.Zero))
		c.line("barline", x, 16, x, c.end)
		c.text("tiny s faint", x+3, 26, fmt.Sprintf("bar %d", bar))
	}
	if c.divideY > 0 {
		c.line("divide", 2, c.divideY, chartWidth-24, c.divideY)
	}
	c.text("tiny s faint", 2, 11, c.heads[0])
	c.text("tiny e faint", chartWidth-26, 11, c.heads[1])
	c.text("tiny s faint", axisWidth, c.height-6, fmt.Sprintf("time in bars: one bar lasts %.1f s at bar %d", c.tl.Between(c.from, score.Zero, c.from+1, score.Zero), c.from))
}

// row draws one track: its place as a line, its windows as bands, its moves as
// slopes.
func (c *moveChart) row(row int, t track) {
	c.text("pedal e", axisWidth-14, c.y(row, 0)+5, t.name)
	for place := -1; c.moving[row] && place <= 1; place++ {
		if _, ok := t.places[place]; ok {
			c.line("level", axisWidth, c.y(row, place), chartWidth-24, c.y(row, place))
		}
	}
	place := c.standing(t)
	start := c.x(c.lo)
	c.text("tiny e faint", axisWidth-3, c.y(row, place)+3.5, t.places[place])
	var shown []trackMove
	for _, m := range t.moves {
		if c.shows(m) {
			shown = append(shown, m)
		}
	}
	for i, m := range shown {
		x1, x2 := max(start, c.x(m.at)), max(start, c.x(m.end))
		room := c.width - x2
		if i+1 < len(shown) {
			room = min(room, max(x2, c.x(shown[i+1].end))-x2)
		}
		c.line("stand", start, c.y(row, m.from), x1, c.y(row, m.from))
		c.move(row, m, x1, x2, room)
		start, place = x2, m.to
	}
	c.line("stand", start, c.y(row, place), c.x(c.hi), c.y(row, place))
}

// standing is where a track is when the first of these bars begins.
func (c *moveChart) standing(t track) int {
	place, last := t.start, math.Inf(-1)
	for _, m := range t.moves {
		if m.bar < c.from && m.deadline >= last {
			place, last = m.to, m.deadline
		}
	}
	return place
}

// move draws one move from x1 to x2; its name and how late it is are written where
// there is room before the name of the next, and always read out.
func (c *moveChart) move(row int, m trackMove, x1, x2, room float64) {
	left, right := max(axisWidth, c.x(m.release)), c.x(m.deadline)
	c.mark("window", m.window, func() {
		c.rect("win", left, c.y(row, -1)-4, max(2, right-left), 2*trackLevel+8, 3)
	})
	class := "move"
	if m.late != "" {
		class = "move late"
	}
	c.mark(class, m.words, func() {
		c.line("slope", x1, c.y(row, m.from), x2, c.y(row, m.to))
		if m.square {
			c.rect("foot", x1-2.6, c.y(row, m.from)-2.6, 5.2, 5.2, 0)
		} else {
			c.circle("foot", x1, c.y(row, m.from), 2.6)
		}
		y := c.y(row, m.to) - 3 // beside its line, where the row has room
		if m.to < 0 {
			y = c.y(row, m.to) + 11
		}
		after := 6 + textWidth(m.name, 12)
		if room >= after {
			c.text("move-name s", x2+3, y, m.name)
		}
		if m.late != "" && room >= after+3+textWidth(m.late, 10.5) {
			c.text("tiny s late-name", x2+after, y, m.late)
		}
	})
}
