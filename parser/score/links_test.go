package score

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fourfold/parser/syntax"
)

func TestLinks(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"X:1\nF:http://example.org/a%20b.abc\n", []string{"http://example.org/a%20b.abc"}},
		{"X:1\nF:tunes/a b.abc\n", []string{"file tunes/a b.abc"}},
		{"X:1\nS:see https://example.org/x, and (http://example.org/y).\n", []string{"https://example.org/x", "http://example.org/y"}},
		{"X:1\nN:http://example.org/x% remark\n", []string{"http://example.org/x"}},
		{"% https://example.org\n", []string{"https://example.org"}},
		{"%%abc-include more.abh\nX:1\nI:abc-include  b.abh\n", []string{"file more.abh", "file b.abh"}},
		{"%%begintext\nhttps://example.org\n%%endtext\n", []string{"https://example.org"}},
		{"X:1\nF:javascript:alert(1)\nF:C:/x\nF:\nN:http and http://\nK:C\n\"http://example.org\"C|\n", nil},
	} {
		var got []string
		for _, l := range Links(syntax.Parse([]byte(c.text))) {
			assert.Equal(t, l.Text, c.text[l.Span.Start:l.Span.End])
			if l.File {
				got = append(got, "file "+l.Text)
			} else {
				got = append(got, l.Text)
			}
		}
		assert.Equal(t, c.want, got, c.text)
	}
}
