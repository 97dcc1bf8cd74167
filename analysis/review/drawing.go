package review

import (
	"fmt"
	"html"
	"html/template"
	"strconv"
	"strings"
)

// drawing writes one picture as SVG. All text that goes into it is escaped
// here; colours, weights and fonts are classes of the page's style sheet.
type drawing struct {
	b             strings.Builder
	width, height float64
}

// point is a place in a picture, in its own units: y grows downwards.
type point struct{ x, y float64 }

// number writes a coordinate with one decimal at most.
func number(f float64) string {
	s := strconv.FormatFloat(f, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

// mark groups what one thing in the picture is drawn with, and says what it is
// for those who do not see it.
func (d *drawing) mark(class, title string, draw func()) {
	fmt.Fprintf(&d.b, `<g class="%s" role="img"><title>%s</title>`, html.EscapeString(class), html.EscapeString(title))
	draw()
	d.b.WriteString("</g>")
}

func (d *drawing) path(class, data string) {
	fmt.Fprintf(&d.b, `<path class="%s" d="%s"/>`, class, data)
}

func (d *drawing) line(class string, x1, y1, x2, y2 float64) {
	if y1 == y2 {
		d.path(class, "M"+number(x1)+" "+number(y1)+"H"+number(x2))
		return
	}
	d.path(class, "M"+number(x1)+" "+number(y1)+"L"+number(x2)+" "+number(y2))
}

func (d *drawing) circle(class string, x, y, r float64) {
	fmt.Fprintf(&d.b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, number(x), number(y), number(r))
}

func (d *drawing) rect(class string, x, y, w, h, round float64) {
	fmt.Fprintf(&d.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s" rx="%s"/>`,
		class, number(x), number(y), number(max(0, w)), number(max(0, h)), number(round))
}

// text writes words; the class says where x is: "s" at their start, "m" in the
// middle, "e" at their end.
func (d *drawing) text(class string, x, y float64, words string) {
	fmt.Fprintf(&d.b, `<text class="%s" x="%s" y="%s">%s</text>`, class, number(x), number(y), html.EscapeString(words))
}

// polyline is the path data that joins points.
func polyline(points []point) string {
	var b strings.Builder
	for i, p := range points {
		b.WriteString(map[bool]string{true: "M", false: "L"}[i == 0])
		b.WriteString(number(p.x) + " " + number(p.y))
	}
	if len(points) == 1 { // a stroke with round ends needs a length to show
		b.WriteString("h.01")
	}
	return b.String()
}

// picture closes the drawing under a name.
func (d *drawing) picture(name string) template.HTML {
	w, h := number(d.width), number(d.height)
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %s %s" width="%s" height="%s" role="group" aria-label="%s">`,
		w, h, w, h, html.EscapeString(name)) + d.b.String() + "</svg>")
}

// textWidth estimates how wide words are at a font size, generously.
func textWidth(words string, size float64) float64 {
	return float64(len([]rune(words))) * size * .56
}
