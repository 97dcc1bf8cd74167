package review

import (
	"regexp"
	"strconv"
	"strings"

	"fourfold/parser/score"
)

// Remark is what the harpist wrote into the score, in a comment:
//
//	% fourfold: remark the low C rings into this
//	% fourfold: fine bar 7: I take it with the thumb
//
// It is about the bars that it names, else about the bars of the line of music
// above it, or, at the end of a line of music, about the bar that ends there. In
// a tune's header it is about the whole tune.
type Remark struct {
	Fine     bool // the verdict: she can play it
	Text     string
	From, To int // bars; 0 for the whole tune
	at       int // byte offset
}

var (
	remarkComment = regexp.MustCompile(`(?m)%[ \t]*fourfold:[ \t]*(remark|fine)\b[ \t:,]*([^\r\n]*)`)
	remarkBars    = regexp.MustCompile(`^bars?[ \t]+([0-9]{1,6})(?:[ \t]*[-–][ \t]*([0-9]{1,6}))?[ \t:,;.]*(.*)$`)
)

// remarksOf are the remarks of a tune, in the order of the text.
func remarksOf(text []byte, t *score.Tune) (out []Remark) {
	span := t.Span
	if span.End > len(text) || span.Start > span.End {
		return nil
	}
	for _, m := range remarkComment.FindAllSubmatchIndex(text[span.Start:span.End], -1) {
		r := Remark{at: span.Start + m[0], Fine: string(text[span.Start+m[2]:span.Start+m[3]]) == "fine",
			Text: strings.TrimSpace(visible(string(text[span.Start+m[4] : span.Start+m[5]])))}
		if b := remarkBars.FindStringSubmatch(r.Text); b != nil {
			r.From, _ = strconv.Atoi(b[1])
			r.To, r.Text = r.From, b[3]
			if to, err := strconv.Atoi(b[2]); err == nil {
				r.To = max(to, r.From)
			}
		} else {
			r.From, r.To = barsBefore(text, t, r.at)
		}
		if r.Fine || r.Text != "" { // a verdict says something without a word
			out = append(out, r)
		}
	}
	return out
}

// barsBefore finds the bar that ends at a comment on its line of music, or the
// bars of the nearest line of music above a comment that has its own line.
func barsBefore(text []byte, t *score.Tune, at int) (from, to int) {
	start := lineStart(text, at)
	own := strings.TrimSpace(string(text[start:at])) == ""
	best := -1
	for _, v := range t.Voices {
		for i := range v.Bars() {
			for _, e := range v.Bars()[i].Events() {
				begin := v.Bars()[i].Start + e.Span.Start
				if begin >= at || begin < best {
					continue
				}
				if line := lineStart(text, begin); own && (best < 0 || lineStart(text, best) != line) {
					from = i + 1
				}
				best, to = begin, i+1
			}
		}
	}
	if best < 0 {
		return 0, 0
	}
	if !own {
		from = to
	}
	return from, to
}

func lineEnd(text []byte, at int) int {
	for at < len(text) && text[at] != '\n' && text[at] != '\r' {
		at++
	}
	return at
}

func lineStart(text []byte, at int) int {
	for at > 0 && text[at-1] != '\n' && text[at-1] != '\r' {
		at--
	}
	return at
}

// about says whether a remark speaks of some of the bars.
func (r Remark) about(from, to int) bool { return r.From > 0 && r.From <= to && r.To >= from }
