package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"go.lsp.dev/protocol"

	"fourfold/analysis/feet"
	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"

	wire "fourfold/lsp/protocol"
)

// completionTriggers are the signs after which an editor asks by itself.
var completionTriggers = []string{"%", "!", "\"", ":", "=", "[", "^", "_", " "}

// completion offers what can be written at a place, each with what it means.
func (s *session) completion(params json.RawMessage) (work, error) {
	var p wire.PositionParams
	snap, err := s.subject(params, &p, &p.TextDocument)
	if err != nil {
		return nil, err
	}
	markdown := s.asked().markdownItems
	offset := snap.lines.offset(p.Position)
	return func(context.Context) (any, error) {
		tree := snap.tree()
		c := completer{snap: snap, tree: tree, typed: score.TypedAt(tree, offset), markdown: markdown}
		c.list()
		if c.items == nil {
			c.items = []protocol.CompletionItem{}
		}
		return protocol.CompletionList{Items: c.items}, nil
	}, nil
}

// completer gathers the items for one place.
type completer struct {
	snap     *snapshot
	tree     *syntax.File
	typed    score.Typed
	markdown bool
	items    []protocol.CompletionItem
}

func (c *completer) list() {
	switch c.typed.Kind {
	case score.TypedField:
		c.fields()
	case score.TypedDirective:
		c.terms(protocol.CompletionItemKindFunction, score.Directives(), "")
	case score.TypedDecoration:
		c.terms(protocol.CompletionItemKindEvent, score.Decorations(), "!")
	case score.TypedAnnotation:
		c.terms(protocol.CompletionItemKindText, score.Annotations(), "")
	case score.TypedValue:
		c.value()
	}
}

// add adds one item that replaces the word as far as it is typed.
func (c *completer) add(kind protocol.CompletionItemKind, text, title, doc string) {
	item := protocol.CompletionItem{Label: text, Kind: kind, Detail: title, FilterText: text, SortText: fmt.Sprintf("%04d", len(c.items)),
		TextEdit: &protocol.TextEdit{Range: c.snap.lines.lineRange(c.typed.Span), NewText: text}}
	if doc != "" {
		item.Documentation = protocol.MarkupContent{Kind: c.markup(), Value: doc}
	}
	c.items = append(c.items, item)
}

func (c *completer) markup() protocol.MarkupKind {
	if c.markdown {
		return protocol.Markdown
	}
	return protocol.PlainText
}

// terms adds a list; each text is closed by a sign.
func (c *completer) terms(kind protocol.CompletionItemKind, list []score.Term, closing string) {
	for _, t := range list {
		c.add(kind, t.Name+closing, t.Title, t.Doc)
	}
}

// fields are those that may stand here.
func (c *completer) fields() {
	for _, f := range score.Fields() {
		if c.typed.Body && f.Body || !c.typed.Body && f.Header {
			c.add(protocol.CompletionItemKindKeyword, f.Name, f.Title, f.Doc)
		}
	}
}

// value is what may be a word of a field's or a %% line's value.
func (c *completer) value() {
	first := strings.TrimSpace(c.typed.Before) == ""
	switch {
	case c.typed.Code == 'V' && first:
		c.voices()
	case c.typed.Code == 'V', c.typed.Code == 'K':
		c.keyOrVoice(first)
	case c.typed.Code == 'U':
		c.symbol()
	case c.typed.Name == "score", c.typed.Name == "staves":
		c.voices()
	case c.typed.Name == "fourfold":
		c.setting(first)
	}
}

// symbol are the decorations that a letter may stand for, behind = and !.
func (c *completer) symbol() {
	word := c.snap.written(c.typed.Span)
	open := strings.LastIndexByte(word, '!')
	if open < 0 {
		return
	}
	c.typed.Span.Start += open + 1
	c.terms(protocol.CompletionItemKindEvent, score.Decorations(), "!")
}

// keyOrVoice are the words that K: and V: share, and before them the keys.
func (c *completer) keyOrVoice(first bool) {
	word := c.snap.written(c.typed.Span)
	if strings.HasPrefix(word, "clef=") {
		c.typed.Span.Start += len("clef=")
		c.terms(protocol.CompletionItemKindValue, score.Clefs(), "")
		return
	}
	if c.typed.Code == 'K' {
		if first {
			for _, k := range score.Keys() {
				c.add(protocol.CompletionItemKindValue, k.Name, k.Title, pedalsOfKey(k.Name))
			}
			return
		}
		c.terms(protocol.CompletionItemKindValue, score.Modes(), "")
	}
	c.terms(protocol.CompletionItemKindProperty, score.VoiceProperties(), "")
	if c.typed.Code == 'K' {
		c.terms(protocol.CompletionItemKindValue, score.Clefs(), "")
	}
}

// pedalsOfKey says how the pedals stand for a key.
func pedalsOfKey(key string) string {
	var set feet.Setting
	for letter, sign := range score.KeySign(key) {
		set[letter] = feet.Pos(sign)
	}
	return "Pedals: " + rules.SettingWords(set)
}

// voices are the ids of the voices of the tune around, each once.
func (c *completer) voices() {
	block := slices.IndexFunc(c.tree.Blocks(), func(b syntax.Block) bool {
		return c.tree.Start(b.First) <= c.typed.Span.Start && c.typed.Span.End <= c.tree.Start(b.End)
	})
	if block < 0 {
		return
	}
	b := c.tree.Blocks()[block]
	seen := map[string]bool{}
	for _, n := range score.Names(c.tree) {
		inside := c.tree.Start(b.First) <= n.Span.Start && n.Span.End <= c.tree.Start(b.End)
		typing := n.Span.Start == c.typed.Span.Start
		if n.Kind == score.VoiceName && inside && !typing && !seen[n.Text] {
			seen[n.Text] = true
			c.add(protocol.CompletionItemKindClass, n.Text, "voice", "")
		}
	}
}

// setting are the words of a %%fourfold line.
func (c *completer) setting(first bool) {
	words := strings.Fields(c.typed.Before)
	word := c.snap.written(c.typed.Span)
	table := ""
	if !first {
		switch words[0] {
		case "harp":
			c.voices()
			return
		case "severity", "set", "hints":
			table = words[0] + "."
		}
	}
	if name, _, valued := strings.Cut(word, "="); valued {
		c.typed.Span.Start += len(name) + 1
		c.settingValues(table + name)
		return
	}
	if first {
		c.add(protocol.CompletionItemKindKeyword, "harp", "the voices of the harp, upper staff first", "As in `%%fourfold harp RH LH`; + joins the voices of one staff.")
		c.add(protocol.CompletionItemKindKeyword, "severity", "how much a rule, or a group of rules, matters", "As in `%%fourfold severity hands/tight=off`.")
		c.add(protocol.CompletionItemKindKeyword, "set", "a number of the hand", "As in `%%fourfold set cycle=0.2`.")
		c.add(protocol.CompletionItemKindKeyword, "hints", "what the editor shows inside the lines", "As in `%%fourfold hints fingers=off`.")
	}
	c.settingNames(table)
}

// settingNames are the settings of a table, or those outside tables.
func (c *completer) settingNames(table string) {
	if table == "severity." {
		for _, rule := range rules.Names() {
			c.add(protocol.CompletionItemKindProperty, rule+"=", ruleTitle(rule), "")
		}
		return
	}
	for _, k := range rules.SettingKeys() {
		name, in := strings.CutPrefix(k.Name, table)
		if !in || table == "" && strings.Contains(name, ".") {
			continue
		}
		c.add(protocol.CompletionItemKindProperty, name+"=", k.About, settingDoc(k))
	}
}

// settingDoc says what a setting may be.
func settingDoc(k rules.SettingKey) string {
	doc := capital(k.Allowed()) + "."
	if k.Default != nil {
		doc += fmt.Sprintf(" Without it: %v.", k.Default)
	}
	return doc
}

// settingValues are the words that a setting may be.
func (c *completer) settingValues(name string) {
	for _, k := range rules.SettingKeys() {
		if k.Name == name || k.Name == "severity." && strings.HasPrefix(name, k.Name) {
			for _, w := range k.Words {
				c.add(protocol.CompletionItemKindValue, w, "", "")
			}
		}
	}
}

// ruleTitle is the title of a rule; a group has none.
func ruleTitle(name string) string {
	for _, r := range rules.All() {
		if r.Name == name {
			return r.Title
		}
	}
	return "all rules of this group"
}
