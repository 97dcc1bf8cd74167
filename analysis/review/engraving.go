package review

import (
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"html/template"
	"io"
	"regexp"
	"strconv"
	"strings"
)

// engraved asks for an excerpt as notes and makes the picture safe to stand in
// the page. Without an engraver, or where it fails, there is none: the ABC beside
// it says the same.
func engraved(ctx context.Context, in Input, abc, id, label string) template.HTML {
	if in.Engrave == nil || abc == "" {
		return ""
	}
	svg, err := in.Engrave(ctx, abc)
	if err != nil {
		return ""
	}
	clean, err := cleanSVG(svg, id+"-", label)
	if err != nil {
		return ""
	}
	return clean
}

// drawn elements and attributes are those that an engraver needs; everything else
// is dropped with all that it holds.
var (
	drawnElements = map[string]bool{"svg": true, "g": true, "path": true, "use": true, "defs": true, "text": true, "tspan": true,
		"ellipse": true, "circle": true, "rect": true, "line": true, "polyline": true, "polygon": true}
	drawnAttributes = map[string]*regexp.Regexp{
		"d": plainValue, "x": plainValue, "y": plainValue, "dx": plainValue, "dy": plainValue, "x1": plainValue, "x2": plainValue,
		"y1": plainValue, "y2": plainValue, "cx": plainValue, "cy": plainValue, "r": plainValue, "rx": plainValue, "ry": plainValue,
		"width": plainValue, "height": plainValue, "points": plainValue, "stroke-width": plainValue, "text-anchor": plainValue,
		"transform": plainValue, "stroke-dasharray": plainValue, "style": fontValue,
	}
	plainValue = regexp.MustCompile(`^[-A-Za-z0-9 .,()+\n\t\r]*$`)
	fontValue  = regexp.MustCompile(`^font:[a-z0-9. -]+$`)
	safeName   = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_-]*$`)
	classNames = map[string]string{"fill": "en-fill", "stroke": "en-stroke"}
)

// mostElements bounds an engraving.
const mostElements = 20000

// cleanSVG copies what draws and nothing else: no script, style sheet, link or
// foreign element gets through, and every id is made the page's own.
func cleanSVG(svg, prefix, label string) (template.HTML, error) {
	d := xml.NewDecoder(strings.NewReader(svg))
	d.CharsetReader = func(string, io.Reader) (io.Reader, error) { return nil, errors.New("not UTF-8") }
	var b strings.Builder
	depth, inText, count := 0, 0, 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return "", fmt.Errorf("the engraving is no SVG: %w", err)
		}
		switch t := token.(type) {
		case xml.StartElement:
			count++
			if count > mostElements || depth == 0 && (t.Name.Local != "svg" || b.Len() > 0) {
				return "", errors.New("the engraving is not one picture")
			}
			if !drawnElements[t.Name.Local] || depth > 0 && t.Name.Local == "svg" {
				if err := d.Skip(); err != nil {
					return "", fmt.Errorf("the engraving is no SVG: %w", err)
				}
				continue
			}
			if depth == 0 {
				openEngraving(&b, t, label)
			} else {
				openElement(&b, t, prefix)
			}
			depth++
			if t.Name.Local == "text" {
				inText++
			}
		case xml.EndElement:
			depth--
			if t.Name.Local == "text" {
				inText--
			}
			b.WriteString("</" + t.Name.Local + ">")
		case xml.CharData:
			if inText > 0 {
				b.WriteString(html.EscapeString(visible(string(t))))
			}
		}
	}
	if depth != 0 || b.Len() == 0 {
		return "", errors.New("the engraving is not one picture")
	}
	return template.HTML(b.String()), nil
}

// openEngraving writes the outermost element anew: its size becomes its view box.
func openEngraving(b *strings.Builder, t xml.StartElement, label string) {
	size := map[string]float64{}
	for _, a := range t.Attr {
		if n, err := strconv.ParseFloat(strings.TrimSuffix(a.Value, "px"), 64); err == nil {
			size[a.Name.Local] = max(1, min(n, 5000))
		}
	}
	w, h := size["width"], size["height"]
	fmt.Fprintf(b, `<svg class="engraving" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-label="%s">`,
		number(w), number(h), number(w), number(h), html.EscapeString(label))
}

func openElement(b *strings.Builder, t xml.StartElement, prefix string) {
	b.WriteString("<" + t.Name.Local)
	for _, a := range t.Attr {
		name, value := a.Name.Local, a.Value
		switch {
		case name == "id" && safeName.MatchString(value):
			value = prefix + value
		case name == "href" && t.Name.Local == "use" && strings.HasPrefix(value, "#") && safeName.MatchString(value[1:]):
			value = "#" + prefix + value[1:]
		case name == "class":
			if value = classNames[value]; value == "" {
				continue
			}
		case drawnAttributes[name] != nil && drawnAttributes[name].MatchString(value):
		default:
			continue
		}
		fmt.Fprintf(b, ` %s="%s"`, name, html.EscapeString(strings.Join(strings.Fields(value), " ")))
	}
	b.WriteString(">")
}
