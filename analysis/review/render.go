package review

import (
	"bytes"
	_ "embed"
	"html/template"
	"strings"
)

//go:embed colours.css
var coloursText string

//go:embed drawing.css
var drawingText string

//go:embed page.css
var styleText string

//go:embed page.html
var pageText string

//go:embed index.html
var indexText string

// style is the sheet of all pages, with blanks at line starts left out.
var style = template.CSS(squeezed(coloursText + drawingText + styleText))

func squeezed(css string) string {
	var b strings.Builder
	for _, line := range strings.Split(css, "\n") {
		if line = strings.TrimSpace(line); line != "" {
			b.WriteString(line + "\n")
		}
	}
	return b.String()
}

var helpers = template.FuncMap{
	"style":  func() template.CSS { return style },
	"legend": legend,
	"paras":  func(s string) []string { return strings.Split(s, "\n\n") },
}

var (
	pageTemplate  = template.Must(template.New("page").Funcs(helpers).Parse(pageText))
	indexTemplate = template.Must(template.New("index").Funcs(helpers).Parse(indexText))
)

func (s *Sheet) render() ([]byte, error) {
	var b bytes.Buffer
	err := pageTemplate.Execute(&b, s)
	return b.Bytes(), err
}

// renderWithin shortens what it must so that the page takes no more than some bytes;
// where nothing is left to shorten it takes what it takes.
func (s *Sheet) renderWithin(most int) ([]byte, error) {
	for {
		html, err := s.render()
		if err != nil || len(html) <= most {
			return html, err
		}
		if found, err := s.shorten(len(html) - most); err != nil || !found {
			return html, err
		}
	}
}
