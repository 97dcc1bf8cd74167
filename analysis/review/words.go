package review

import (
	"fmt"
	"html"
	"html/template"
	"strings"

	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
)

func barsWords(from, to int) string {
	if to <= from {
		return fmt.Sprintf("bar %d", from)
	}
	return fmt.Sprintf("bars %d–%d", from, to)
}

// beatName says where in its bar something stands, counted in beats from 1.
func beatName(p *rules.Part, bar int, onset score.Frac) string {
	return rules.BeatName(onset, p.Timeline.BeatAt(bar, onset))
}

// needWords put the time that a need takes and the time there is into a sentence.
func needWords(format string, n hands.Need) string {
	need, have := rules.TwoTimes(n.Seconds, n.Have)
	return fmt.Sprintf(format, need, have)
}

// upper starts a sentence.
func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// tempo is a tempo as the page shows it: words for people, quarters a minute for
// programs.
type tempo struct {
	Words    string
	Quarters float64
}

func tempoOf(quarters float64, beat score.Frac) tempo {
	return tempo{rules.TempoWords(quarters, beat), quarters}
}

// prose is a paragraph in work: words, set notes and links, all escaped.
type prose struct{ b strings.Builder }

func (p *prose) say(words string) { p.b.WriteString(html.EscapeString(words)) }

func (p *prose) strong(words string) {
	p.b.WriteString("<strong>" + html.EscapeString(words) + "</strong>")
}

func (p *prose) link(id, words string) {
	fmt.Fprintf(&p.b, `<a href="#%s">%s</a>`, html.EscapeString(id), html.EscapeString(words))
}

func (p *prose) html() template.HTML { return template.HTML(p.b.String()) }

// quoted sets the notes of a message, which stand between backquotes, as code.
func quoted(message string) template.HTML {
	var b strings.Builder
	for i, part := range strings.Split(message, "`") {
		part = html.EscapeString(visible(part))
		if i%2 == 1 {
			part = "<code>" + part + "</code>"
		}
		b.WriteString(part)
	}
	return template.HTML(b.String())
}

// visible replaces bad bytes and control characters, which no page may hold, and
// those that turn the direction of all that follows.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		control := r < ' ' && r != '\t' && r != '\n' || r >= 0x7f && r < 0xa0 || r == 0xfffe || r == 0xffff
		turning := r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
		if control || turning {
			return '�'
		}
		return r
	}, strings.ToValidUTF8(s, "�"))
}
