package review

import (
	"context"
	"fmt"
	"html/template"
	"regexp"
	"strings"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// RulePicture draws what a rule finds in its example, as an SVG file of its own:
// the strings, the pedals or the levers over time, or the line of ABC. An error
// says that there is no example, or that the rule finds nothing in it.
func RulePicture(rule string) ([]byte, error) {
	text, ok := rules.Example(rule)
	if !ok {
		return nil, fmt.Errorf("%s has no example", rule)
	}
	reading, err := analysis.Read(context.Background(), syntax.Parse(text), rules.Defaults())
	if err != nil {
		return nil, err
	}
	for _, f := range reading.Findings() {
		if f.Rule == rule {
			return alone(findingPicture(Input{Text: text, Reading: reading}, f)), nil
		}
	}
	return nil, fmt.Errorf("%s finds nothing in its example", rule)
}

// findingPicture chooses the picture that shows a finding best.
func findingPicture(in Input, f rules.Finding) template.HTML {
	parts := in.Reading.Parts()
	i, ok := partOf(parts, f)
	kind, _, _ := strings.Cut(f.Rule, "/")
	if !ok || kind == "fourfold" || kind == "tempo" || strings.HasPrefix(f.Rule, "feet/mark") {
		return linePicture(in.Text, f)
	}
	sec := newSection(in, parts, i, []rules.Finding{f})
	if moves, _ := sec.footwork.moves(); moves > 0 && kind != "hands" && kind != "strings" {
		chart := leverChart
		if sec.footwork.plan != nil {
			chart = feetChart
		}
		if charts, _ := moveCharts(chart(sec), kind == "feet"); len(charts) > 0 {
			return charts[0]
		}
	}
	pa := sec.Passages[0]
	return stringsPictures(sec.part, written(sec.part), pa.From, min(pa.To, pa.From+1), pa.located, false)[0]
}

// Sizes of the picture of a line.
const (
	signWidth = 7.8 // of a sign of ABC
	lineWidth = 620.0
	lineLeft  = 14.0
)

// linePicture shows a line of ABC with a wave under what a finding is about, as an
// editor does, and says what was found.
func linePicture(text []byte, f rules.Finding) template.HTML {
	start := lineStart(text, f.Span.Start)
	end := lineEnd(text, f.Span.Start)
	line := visible(string(text[start:end]))
	at := len([]rune(visible(string(text[start:f.Span.Start]))))
	length := max(1, len([]rune(visible(string(text[f.Span.Start:max(f.Span.Start, min(f.Span.End, end))])))))
	d := &drawing{width: lineWidth}
	y := 22.0
	if start > 1 {
		before := visible(string(text[lineStart(text, start-1) : start-1]))
		d.abc("faint", y, before)
		y += 20
	}
	d.abc("", y, line)
	x := lineLeft + float64(at)*signWidth
	var wave []point
	for i := 0; float64(i)*3 <= float64(length)*signWidth; i++ {
		wave = append(wave, point{x + float64(i)*3, y + 5 + 2*float64(i%2)})
	}
	d.mark("wavy", "What the finding is about", func() { d.path("wave", polyline(wave)) })
	y += 28
	mark := FindingView{Severity: numbered{Finding: f}.severityWord()}.Mark()
	for i, words := range wrapped(strings.ReplaceAll(visible(f.Message), "`", ""), 92) {
		if i == 0 {
			d.text("label m over", lineLeft+4, y, mark)
		}
		d.text("label s", lineLeft+16, y, words)
		y += 16
	}
	d.height = y
	return d.picture("A line of ABC: " + line)
}

// abc writes a line of ABC whose signs have one width, whatever the font.
func (d *drawing) abc(class string, y float64, line string) {
	n := len([]rune(line))
	if n == 0 {
		return
	}
	fmt.Fprintf(&d.b, `<text class="%s" x="%s" y="%s" textLength="%s" lengthAdjust="spacingAndGlyphs" xml:space="preserve">%s</text>`,
		strings.TrimSpace("abc s "+class), number(lineLeft), number(y), number(float64(n)*signWidth), template.HTMLEscapeString(line))
}

// wrapped breaks words into lines of at most so many signs.
func wrapped(text string, most int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > most {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	return append(lines, line)
}

var (
	cssRule   = regexp.MustCompile(`([^{}]+)\{([^{}]*)\}`)
	cssClass  = regexp.MustCompile(`\.([A-Za-z][A-Za-z0-9-]*)`)
	cssColour = regexp.MustCompile(`--[a-z-]+: [^;]+;`)
	svgClass  = regexp.MustCompile(`class="([^"]*)"`)
)

// alone makes a picture of the page a file of its own: with its name space, the
// part of the style sheet that it needs, and paper under it.
func alone(picture template.HTML) []byte {
	used := map[string]bool{"paper": true}
	for _, m := range svgClass.FindAllStringSubmatch(string(picture), -1) {
		for _, c := range strings.Fields(m[1]) {
			used[c] = true
		}
	}
	var css strings.Builder
	for _, m := range cssRule.FindAllStringSubmatch(squeezed(drawingText), -1) {
		for _, selector := range strings.Split(m[1], ",") {
			all := true
			for _, c := range cssClass.FindAllStringSubmatch(selector, -1) {
				all = all && used[c[1]]
			}
			if all {
				css.WriteString(strings.TrimSpace(m[0]) + "\n")
				break
			}
		}
	}
	colours := cssColour.ReplaceAllStringFunc(squeezed(coloursText), func(c string) string {
		name, _, _ := strings.Cut(c, ":")
		if strings.Contains(css.String(), "var("+name+")") {
			return c
		}
		return ""
	})
	open, rest, _ := strings.Cut(string(picture), ">")
	svg := strings.Replace(open, "<svg ", `<svg xmlns="http://www.w3.org/2000/svg" `, 1) + ">\n<style>\n" + colours + css.String() +
		"</style>\n" + `<rect class="paper" width="100%" height="100%"/>` + rest + "\n"
	return []byte(strings.ReplaceAll(svg, "</g><", "</g>\n<"))
}
