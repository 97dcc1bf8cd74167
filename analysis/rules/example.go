package rules

import (
	"embed"
	"strings"
)

//go:embed examples
var examples embed.FS

// Example is a short score in which a rule finds something; false where there is
// none. The picture in the page for composers is drawn from it.
func Example(rule string) (abc []byte, ok bool) {
	abc, err := examples.ReadFile("examples/" + fileName(rule) + ".abc")
	return abc, err == nil
}

// PictureFile is where the picture of a rule stands, from the page for composers.
func PictureFile(rule string) string { return "pictures/" + fileName(rule) + ".svg" }

// fileName is a rule's name as that of a file: "hands-turn".
func fileName(rule string) string { return strings.ReplaceAll(rule, "/", "-") }
