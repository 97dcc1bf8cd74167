package review

import (
	"bytes"
	"regexp"
	"strings"

	"fourfold/parser/score"
)

// VoiceText is what a voice has in some bars, as typed.
type VoiceText struct {
	Voice string
	Text  string
}

// sourceOf gives the text of some bars of some voices.
func sourceOf(text []byte, voices []*score.Voice, from, to int) (out []VoiceText) {
	for _, v := range voices {
		if t := barsText(text, v, from, to); t != "" {
			out = append(out, VoiceText{Voice: visible(v.ID), Text: visible(t)})
		}
	}
	return out
}

// barsText is what a voice has in some bars, line by line.
func barsText(text []byte, v *score.Voice, from, to int) string {
	var lines []string
	last := score.Span{Start: -1}
	for bar := from; bar <= min(to, v.Len()); bar++ {
		for _, s := range barPieces(text, v, bar) {
			line := string(text[s.Start:s.End])
			if n := len(lines) - 1; n >= 0 && !bytes.ContainsAny(text[last.End:s.Start], "\r\n[") {
				lines[n] += string(text[last.End:s.Start]) + line
			} else {
				lines = append(lines, line)
			}
			last = s
		}
	}
	for i, line := range lines {
		lines[i] = strings.TrimSpace(line)
	}
	return strings.Join(lines, "\n")
}

// barPieces are where a voice's bar stands in the file, line by line.
func barPieces(text []byte, v *score.Voice, bar int) []score.Span {
	if bar < 1 || bar > v.Len() {
		return nil
	}
	return v.Bars()[bar-1].Pieces(text)
}

var (
	inlineInstruction = regexp.MustCompile(`\[[Ir]:[^\]]*\]`)
	wholeField        = regexp.MustCompile(`^[A-Za-z+]:|^%`)
	plainWord         = regexp.MustCompile(`^[A-Za-z0-9_.+-]+$`)
	unitField         = regexp.MustCompile(`(?m)(?:^|\[)L:[ \t]*([0-9]{1,3}(?:/[0-9]{1,4})?)`)
)

// excerpt is a little tune of some bars, for an engraver. It holds notes and
// the fields that they need and nothing else: no instruction of the score gets
// into it, since an engraver obeys some that read files.
func excerpt(text []byte, t *score.Tune, voices []*score.Voice, from, to int) string {
	var head, body bytes.Buffer
	head.WriteString("X:1\n")
	var ids []string
	for _, v := range voices {
		music := onlyMusic(barsText(text, v, from, to))
		if music == "" || !plainWord.MatchString(v.ID) {
			continue
		}
		bar := &v.Bars()[from-1]
		if len(ids) == 0 {
			field(&head, "M", bar.Meter.Text)
			field(&head, "L", unitAt(text, t, bar.Start))
		}
		ids = append(ids, v.ID)
		body.WriteString("V:" + v.ID)
		if plainWord.MatchString(v.Clef) {
			body.WriteString(" clef=" + v.Clef)
		}
		body.WriteString("\n")
		field(&body, "L", unitAt(text, t, bar.Start))
		field(&body, "K", bar.Key.Text)
		body.WriteString(music + "\n")
	}
	if len(ids) == 0 {
		return ""
	}
	if len(ids) > 1 {
		head.WriteString("%%score {" + strings.Join(ids, " ") + "}\n")
	}
	field(&head, "K", keyText(voices, from))
	return head.String() + body.String()
}

func keyText(voices []*score.Voice, bar int) string {
	for _, v := range voices {
		if bar <= v.Len() && v.Bars()[bar-1].Key.Text != "" {
			return v.Bars()[bar-1].Key.Text
		}
	}
	return "C"
}

// field writes a field if its value is one plain line.
func field(b *bytes.Buffer, name, value string) {
	if value != "" && !strings.ContainsAny(value, "\r\n%") {
		b.WriteString(name + ":" + value + "\n")
	}
}

// onlyMusic drops fields, instructions and comments.
func onlyMusic(text string) string {
	var lines []string
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' }) {
		line = strings.TrimSpace(line)
		if wholeField.MatchString(line) {
			continue
		}
		line, _, _ = strings.Cut(line, "%")
		line = strings.TrimSuffix(strings.TrimSpace(inlineInstruction.ReplaceAllString(line, "")), "\\")
		lines = append(lines, line)
	}
	return strings.TrimSpace(visible(strings.Join(lines, " ")))
}

// unitAt is the note length in force: the last L: before a place.
func unitAt(text []byte, t *score.Tune, at int) string {
	if t.Span.Start > at || at > len(text) {
		return ""
	}
	all := unitField.FindAllSubmatch(text[t.Span.Start:at], -1)
	if len(all) == 0 {
		return ""
	}
	return string(all[len(all)-1][1])
}
