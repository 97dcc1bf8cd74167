package score

import "strings"

// decode reads bytes that are not UTF-8 as Latin-1, which the standard's other
// charsets agree with wherever a title is likely to be typed.
func decode(s, charset string) string {
	var b strings.Builder
	for i := range len(s) {
		b.WriteRune(rune(s[i]))
	}
	return b.String()
}
