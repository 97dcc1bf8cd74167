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
