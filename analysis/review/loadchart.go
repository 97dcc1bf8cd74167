package review

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"fourfold/analysis/rules"
)

const (
	chartWidth  = 690.0
	chartHeight = 86.0
	chartHead   = 32.0 // over the chart: what it shows, and the loads that it has no room for
	chartMost   = 2.0  // the load at the chart's upper edge; more is cut and said
)

// loadChart is one row of the load of each bar: right hand, left hand and feet
// against the line of what can be played.
type loadChart struct {
	drawing
	sec      *Section
	from, to int
	step     float64
}

// loadCharts draws all bars of a section, a row at a time.
func loadCharts(sec *Section) (out []template.HTML) {
	n := len(sec.bars)
	perRow := 24
	if n > 96 {
		perRow = 48
	}
	if n < perRow {
		perRow = max(n, 8)
	}
	for from := 1; from <= n; from += perRow {
		c := &loadChart{sec: sec, from: from, to: min(n, from+perRow-1), step: (chartWidth - axisWidth - 10) / float64(perRow)}
		out = append(out, c.draw())
	}
	return out
}

func (c *loadChart) y(load float64) float64 {
	return chartHead + chartHeight*(1-min(load, chartMost)/chartMost)
}

func (c *loadChart) x(bar int) float64 { return axisWidth + (float64(bar-c.from)+.5)*c.step }

func (c *loadChart) draw() template.HTML {
	c.width, c.height = chartWidth, chartHead+chartHeight+30
	c.frame()
	linked := c.passages()
	for bar := c.from; bar <= c.to; bar++ {
		c.bar(bar, linked[bar])
	}
	return c.picture(fmt.Sprintf("Load per bar, %s: the time that hands and feet need divided by the time there is.", barsWords(c.from, c.to)))
}

// frame draws the axes and the two lines: what is comfortable and what can be
// played at all.
func (c *loadChart) frame() {
	right := axisWidth + float64(c.to-c.from+1)*c.step
	comfortable := c.sec.part.Settings.Hand.Comfortable
	c.rect("zone-over", axisWidth, c.y(chartMost), right-axisWidth, c.y(1)-c.y(chartMost), 0)
	c.line("axis", axisWidth, c.y(0), right, c.y(0))
	c.mark("limit", "The line of what can be played: 100 % of the time there is.", func() { c.line("l", axisWidth, c.y(1), right, c.y(1)) })
	c.mark("comfort", fmt.Sprintf("Comfortable up to here: %.0f %% of the time there is.", 100*comfortable), func() {
		c.line("l", axisWidth, c.y(comfortable), right, c.y(comfortable))
	})
	c.text("tiny e faint", axisWidth-5, c.y(0)+3, "0 %")
	c.text("tiny e faint", axisWidth-5, c.y(comfortable)+3, fmt.Sprintf("%.0f %%", 100*comfortable))
	c.text("label e", axisWidth-5, c.y(1)+4, "100 %")
	c.text("tiny s faint", 2, 9, "time needed ÷ time there is")
	every := 1
	for float64(every)*c.step < 17 {
		every *= 2
	}
	for bar := c.from; bar <= c.to; bar += every {
		c.text("tiny m faint", c.x(bar), c.y(0)+13, fmt.Sprint(bar))
	}
	c.text("tiny e faint", axisWidth-5, c.y(0)+13, "bar")
}

// passages says which bars a passage starts at.
func (c *loadChart) passages() map[int]string {
	ids := map[int]string{}
	for _, pa := range c.sec.Passages {
		for bar := pa.From; bar <= pa.To; bar++ {
			if _, is := ids[bar]; !is && pa.needsWork() {
				ids[bar] = pa.ID
			}
		}
	}
	return ids
}

// bar draws the three loads of a bar; a bar in which something does not fit is
// marked below and leads to its passage.
func (c *loadChart) bar(bar int, passage string) {
	b := c.sec.bars[bar-1]
	if b.most() == 0 && !b.stuck() && passage == "" {
		return
	}
	c.mark("load", c.barWords(bar), func() {
		off := min(6, c.step/3.4)
		x := c.x(bar)
		c.pin("rh", x-off, b.Hands[0], b.Impossible[0], 0)
		c.pin("lh", x, b.Hands[1], b.Impossible[1], 1)
		c.pin("ft", x+off, b.feet, math.IsInf(b.feet, 1), 2)
		if most := b.most(); most > chartMost && !math.IsInf(most, 1) && c.step > 22 {
			words := fmt.Sprintf("%.0f %%", 100*most)
			if c.step < 40 { // its neighbour's stands beside it
				words = fmt.Sprintf("%.0f", 100*most)
			}
			c.text("tiny m over", x, c.y(chartMost)-6, words)
		}
	})
	if passage != "" {
		x, y := c.x(bar), c.y(0)+21
		fmt.Fprintf(&c.b, `<a href="#%s" aria-label="To %s">`, passage, barsWords(bar, bar))
		c.rect("hit", x-max(6, c.step/2), y-7, max(12, c.step), 14, 0)
		c.path("flag", polyline([]point{{x - 4, y + 4}, {x, y - 4}, {x + 4, y + 4}})+"Z")
		c.b.WriteString("</a>")
	}
}

// pin is a stem with a head whose shape tells whose load it is: round, square,
// three-cornered. What no tempo helps has a cross for a head.
func (c *loadChart) pin(class string, x, load float64, stuck bool, shape int) {
	if load <= 0 && !stuck {
		return
	}
	over := ""
	if load > 1+1e-9 || stuck {
		over = " over"
	}
	y := c.y(load)
	if stuck {
		y = c.y(chartMost) + 5
	}
	c.line("stem "+class+over, x, c.y(0), x, y)
	r := min(3.6, c.step/5)
	switch {
	case stuck:
		c.path("head-x "+class, fmt.Sprintf("M%s %sL%s %sM%s %sL%s %s", number(x-r), number(y-r), number(x+r), number(y+r), number(x-r), number(y+r), number(x+r), number(y-r)))
	case shape == 0:
		c.circle("head "+class+over, x, y, r)
	case shape == 1:
		c.rect("head "+class+over, x-r, y-r, 2*r, 2*r, 0)
	default:
		c.path("head "+class+over, polyline([]point{{x - r - .6, y + r}, {x, y - r - .6}, {x + r + .6, y + r}})+"Z")
	}
}

func (c *loadChart) barWords(bar int) string {
	b := c.sec.bars[bar-1]
	var shares, stuck []string
	for side, h := range c.sec.part.Played {
		if h == nil {
			continue
		}
		switch {
		case b.Impossible[side]:
			stuck = append(stuck, "the "+h.Name+" is asked for what no hand takes")
		case b.Hands[side] > 0:
			shares = append(shares, fmt.Sprintf("%s %.0f %%", h.Name, 100*b.Hands[side]))
		}
	}
	switch {
	case math.IsInf(b.feet, 1):
		stuck = append(stuck, "a foot is late at any tempo")
	case b.feet > 0:
		shares = append(shares, fmt.Sprintf("feet %.0f %%", 100*b.feet))
	}
	if len(shares) > 0 {
		stuck = append([]string{rules.List(shares) + " of the time there is"}, stuck...)
	}
	if len(stuck) == 0 {
		stuck = []string{"no load, but see what was found there"}
	}
	return fmt.Sprintf("Bar %d: %s.", bar, strings.Join(stuck, "; "))
}
