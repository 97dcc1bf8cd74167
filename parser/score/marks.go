package score

import (
	"maps"
	"strings"

	"fourfold/parser/syntax"
)

// The letters that stand for decorations unless U: says otherwise.
var usualSymbols = map[byte]string{
	'.': "staccato", '~': "roll", 'H': "fermata", 'L': "accent", 'M': "lowermordent", 'O': "coda",
	'P': "uppermordent", 'S': "segno", 'T': "trill", 'u': "upbow", 'v': "downbow",
}

// marks reads one decoration, letter or quoted text and adds it to the list;
// its span counts from the file.
func (c *cursor) marks(list []Mark) []Mark {
	word, span := string(c.word()), c.span()
	k := c.kind()
	c.next()
	if c.r.sink != nil {
		return list
	}
	switch k {
	case syntax.Quoted:
		return append(list, c.r.quoted(word[1:len(word)-1], span))
	case syntax.Decoration:
		name := word[1 : len(word)-1]
		c.r.checkDecoration(name, span)
		return append(list, Mark{Kind: Decoration, Text: name, Span: span})
	}
	text, own := c.r.env.symbols[word[0]]
	if !own {
		text = usualSymbols[word[0]]
		if text != "" {
			return append(list, Mark{Kind: Decoration, Text: text, Span: span})
		}
		c.r.problem(RuleDecoration, span, "`"+word+"` stands for nothing: a `U:` field can give it a meaning, as in `U:"+word+"=!arpeggio!`.")
		return list
	}
	switch {
	case text == "":
		return list
	case text[0] == '"' && len(text) > 1:
		return append(list, c.r.quoted(strings.Trim(text, `"`), span))
	}
	return append(list, Mark{Kind: Decoration, Text: strings.Trim(text, "!+"), Span: span})
}

// quoted tells an annotation from a chord symbol.
func (r *reader) quoted(text string, span Span) Mark {
	if text != "" && strings.IndexByte("^_<>@", text[0]) >= 0 {
		return Mark{Kind: Annotation, Text: r.plain(text[1:]), Place: text[0], Span: span}
	}
	return Mark{Kind: ChordSymbol, Text: r.plain(text), Span: span}
}

// setSymbol acts on U:. The names nil and none free a letter.
func (r *reader) setSymbol(f field) {
	name, value, found := strings.Cut(f.text, "=")
	name, value = strings.TrimSpace(name), strings.TrimSpace(value)
	if !found || len(name) != 1 {
		r.problem(RuleSyntax, f.span, "`U:` gives one letter a meaning: write it as `U:W=!trill!`.")
		return
	}
	c := name[0]
	if !(c >= 'H' && c <= 'W' || c >= 'h' && c <= 'w' || c == '~' || c == '.') {
		r.problem(RuleSyntax, f.span, "`"+name+"` cannot be given a meaning: `U:` takes `H` to `W`, `h` to `w` and `~`.")
		return
	}
	if !r.ownSymbols {
		r.ownSymbols = true
		r.env.symbols = maps.Clone(r.env.symbols)
		if r.env.symbols == nil {
			r.env.symbols = map[byte]string{}
		}
	}
	if plain := strings.Trim(value, "!+"); plain == "nil" || plain == "none" {
		value = ""
	} else if value != "" && strings.IndexByte("!+\"", value[0]) < 0 {
		value = "!" + value + "!"
	}
	r.env.symbols[c] = value
}
