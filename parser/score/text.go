package score

import (
	"html"
	"strconv"
	"strings"
	"unicode/utf8"
)

// plainText gives a text string as a reader sees it: \ escapes and &entities;
// replaced, bytes that are not UTF-8 read in the file's charset.
func plainText(s, charset string) string {
	if s == "" {
		return s
	}
	if !utf8.ValidString(s) || isLatin(charset) && !isASCII(s) {
		s = decode(s, charset)
	}
	if strings.IndexByte(s, '\\') >= 0 {
		s = unescape(s)
	}
	if strings.IndexByte(s, '&') >= 0 {
		s = html.UnescapeString(s)
	}
	return s
}

func isLatin(charset string) bool { return strings.HasPrefix(charset, "iso-8859-") }

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}

// accents are the letters behind a backslash and the combining mark each adds.
var accents = map[byte]rune{
	'`': '\u0300', '\'': '\u0301', '^': '\u0302', '~': '\u0303', '"': '\u0308', 'c': '\u0327',
	'a': '\u030a', 'u': '\u0306', 'v': '\u030c', 'H': '\u030b', '=': '\u0304', '.': '\u0307', ';': '\u0328',
}

// composed holds the letters that have a sign of their own with an accent.
var composed = compose()

var ligatures = map[string]string{"ss": "ß", "AE": "Æ", "ae": "æ", "oe": "œ", "OE": "Œ", "/o": "ø", "/O": "Ø", "aa": "å", "AA": "Å", "cc": "ç", "cC": "Ç", "/d": "đ", "/D": "Đ", "DH": "Ð", "dh": "ð", "TH": "Þ", "th": "þ"}

// unescape replaces the mnemonics of the standard's text strings.
func unescape(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' || i+1 >= len(s) {
			b.WriteByte(s[i])
			continue
		}
		if t, n := escape(s[i+1:]); n > 0 {
			b.WriteString(t)
			i += n
			continue
		}
		b.WriteByte('\\')
	}
	return b.String()
}

// escape reads what stands behind a backslash, and how many bytes it takes; 0
// where it is no escape.
func escape(s string) (string, int) {
	switch s[0] {
	case '\\', '%', '&':
		return s[:1], 1
	case '"':
		if len(s) < 2 {
			return s[:1], 1
		}
	case '-':
		return "-", 1
	case 'u', 'U':
		digits := 4
		if s[0] == 'U' {
			digits = 8
		}
		if len(s) > digits {
			if n, err := strconv.ParseUint(s[1:1+digits], 16, 32); err == nil && utf8.ValidRune(rune(n)) {
				return string(rune(n)), 1 + digits
			}
		}
	}
	if len(s) < 2 {
		return "", 0
	}
	if l, ok := ligatures[s[:2]]; ok {
		return l, 2
	}
	if mark, ok := accents[s[0]]; ok {
		if r, ok := composed[[2]rune{rune(s[1]), mark}]; ok {
			return string(r), 2
		}
		if s[1] >= 'A' && s[1] <= 'Z' || s[1] >= 'a' && s[1] <= 'z' {
			if s[0] == 'c' || s[0] == 'a' || s[0] == 'u' || s[0] == 'v' || s[0] == 'H' {
				return "", 0
			}
			return s[1:2] + string(mark), 2
		}
	}
	return "", 0
}

// compose lists base letter, mark and composed letter side by side.
func compose() map[[2]rune]rune {
	rows := []struct {
		mark    rune
		base    string
		letters string
	}{
		{'\u0300', "AEIOUaeiou", "ÀÈÌÒÙàèìòù"},
		{'\u0301', "AEIOUYaeiouyCcNnSsZz", "ÁÉÍÓÚÝáéíóúýĆćŃńŚśŹź"},
		{'\u0302', "AEIOUaeiou", "ÂÊÎÔÛâêîôû"},
		{'\u0303', "ANOano", "ÃÑÕãñõ"},
		{'\u0308', "AEIOUaeiouy", "ÄËÏÖÜäëïöüÿ"},
		{'\u0327', "CcSs", "ÇçŞş"},
		{'\u030a', "AaUu", "ÅåŮů"},
		{'\u0306', "AEGaegu", "ĂĔĞăĕğŭ"},
		{'\u030c', "CDEZSRcdezsr", "ČĎĚŽŠŘčďěžšř"},
		{'\u030b', "OUou", "ŐŰőű"},
	}
	m := map[[2]rune]rune{}
	for _, r := range rows {
		letters := []rune(r.letters)
		for i, b := range []rune(r.base) {
			m[[2]rune{b, r.mark}] = letters[i]
		}
	}
	return m
}
