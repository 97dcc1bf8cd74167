package fix

import (
	"context"
	"fmt"
	"regexp"
	"sort"
	"strings"

	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// flatKeys are the keys of five to seven sharps by their count, and the flat ones that
// sound the same: the harp's strings are longest, and fullest, with the pedals up
// (Encyclopaedia Britannica, 14th edition, "Harp"; Philharmonia Orchestra, instrument
// guide: Harp; read).
var flatKeys = map[int]string{5: "C♭ for B", 6: "G♭ for F♯", 7: "D♭ for C♯"}

func flatTuneTitle(s *scope) string {
	whole := *s
	whole.first, whole.last = 0, s.bars()-1
	if words := whole.flatWords(); words != "" {
		return fmt.Sprintf("Move the part to the flat side, key signature included: %s (same sound)", words)
	}
	return ""
}

func flatSelectionTitle(s *scope) string {
	if words := s.flatWords(); s.selected && words != "" {
		return fmt.Sprintf("Move %s to the flat side, key signature included: %s (same sound)", s.barWords(), words)
	}
	return ""
}

// flatWords name the keys that would change in the scope.
func (s *scope) flatWords() string {
	seen := map[int]bool{}
	var words []string
	for _, v := range s.player.Voices() {
		for b := s.first; b <= s.last && b < v.Len(); b++ {
			if n := sharps(v.Bars()[b].Key); flatKeys[n] != "" && !seen[n] && movable(v.Bars()[b].Key) {
				seen[n] = true
				words = append(words, flatKeys[n])
			}
		}
	}
	return strings.Join(words, ", ")
}

// sharps counts the sharps of a signature that has nothing else; -1 for any other.
func sharps(k score.Key) (n int) {
	for _, sign := range k.Sign {
		if sign < 0 || sign > 1 {
			return -1
		}
		n += int(sign)
	}
	return n
}

// keyName is a key by its tonic and mode, as it stands at the beginning of K:.
var keyName = regexp.MustCompile(`^\s*([A-G])([#b]?)(\s*(?i:maj|min|mix|dor|phr|lyd|loc|ion|aeo|m(?:[^a-z]|$))[a-zA-Z]*)?`)

// movable says whether a key is written with a tonic, and no accidentals of its own.
func movable(k score.Key) bool {
	m := keyName.FindStringSubmatchIndex(k.Text)
	return m != nil && !strings.ContainsAny(k.Text[m[1]:], "^_=")
}

// flatName gives a key's own words and those of the key one letter up that sounds the
// same.
func flatName(text string) (was, is string, ok bool) {
	m := keyName.FindStringSubmatch(text)
	if m == nil {
		return "", "", false
	}
	l := strings.IndexByte("CDEFGAB", m[1][0])
	alter := map[string]int{"": 0, "#": 1, "b": -1}[m[2]]
	up := (l + 1) % 7
	alter += key(l) - key(l+1)
	sign, ok := map[int]string{0: "", -1: "b", 1: "#"}[alter]
	return strings.TrimSpace(m[0]), "CDEFGAB"[up:up+1] + sign + strings.TrimRight(m[3], " \t"), ok
}

func flatTune(ctx context.Context, s *scope) (Acted, error) {
	s.first, s.last = 0, s.bars()-1
	return s.flat(ctx)
}

func flatSelection(ctx context.Context, s *scope) (Acted, error) { return s.flat(ctx) }

// flat moves the scope's bars that have a key of five to seven sharps, with the key.
func (s *scope) flat(ctx context.Context) (Acted, error) {
	to := map[spot]pitch{}
	eachNote(s.tune, func(at spot, _ *score.Bar, _ *score.Event, n *score.Note) {
		if p := flatter(pitchOf(n)); s.moves(at.voice, at.bar) && p != pitchOf(n) {
			to[at] = p
		}
	})
	fields, ok := s.keyFields()
	if !ok {
		return Acted{Why: "A key signature in these bars is written in a way that has no counterpart in flats."}, nil
	}
	after, why := s.reletter(to, append(fields, s.chordEdits()...))
	switch {
	case why != "":
		return Acted{Why: "It cannot be moved: " + string(why) + "."}, nil
	case !sameSound(s.tune, after.Score.Tunes[s.index]):
		return Acted{Why: "It cannot be moved: " + string(promiseBroken) + "."}, nil
	}
	after, err := s.remarked(ctx, after)
	if err != nil {
		return Acted{}, err
	}
	worse, err := s.worseAfter(ctx, after)
	switch {
	case err != nil:
		return Acted{}, err
	case len(worse) > 0:
		return Acted{Why: "On these strings the hands or the feet would be worse off than now: " + barList(worse) + "."}, nil
	}
	part, err := s.partIn(ctx, after)
	if err != nil {
		return Acted{}, err
	}
	moves := len(s.part.Pedals.Plan.Moves) - len(part.Pedals.Plan.Moves)
	return Acted{Title: fmt.Sprintf("Moved to the flat side: %s, %s (same sound)", s.flatWords(), movesMore(-moves)), Edits: difference(s.File.Text(), after.File.Text()), After: after.File.Text()}, nil
}

// movesMore says how many more moves the feet make.
func movesMore(n int) string {
	switch {
	case n > 0:
		return counted(n, "pedal move") + " more"
	case n < 0:
		return counted(-n, "pedal move") + " fewer"
	}
	return "as many pedal moves"
}

// barList names some bars, by index.
func barList(bars map[int]bool) string {
	var numbers []int
	for b := range bars {
		numbers = append(numbers, b+1)
	}
	sort.Ints(numbers)
	const shown = 5
	var words []string
	for i, n := range numbers {
		if i == shown {
			words = append(words, "…")
			break
		}
		words = append(words, fmt.Sprint(n))
	}
	return "bar " + strings.Join(words, ", ")
}

// moves says whether a bar, by index, is to be moved.
func (s *scope) moves(voice, bar int) bool {
	v := s.tune.Voices[voice]
	return s.player.Has(v.ID) && bar >= s.first && bar <= s.last && flatKeys[sharps(v.Bars()[bar].Key)] != "" && movable(v.Bars()[bar].Key)
}

// flatter writes a pitch one letter up where a pedal can give it, else leaves it.
func flatter(p pitch) pitch {
	up := pitch{p.str + 1, key(p.str) + p.alter - key(p.str+1)}
	if up.alter >= -1 && up.alter <= 1 {
		return up
	}
	return p
}

// keyFields changes the key signatures. Where the whole tune is moved and is the
// player's alone, the fields themselves; else the moved bars get fields of their own in
// the player's voices, and the old key after them.
func (s *scope) keyFields() (edits []score.Edit, ok bool) {
	if s.first == 0 && s.last >= s.bars()-1 && len(s.tune.Voices) == len(s.player.Voices()) {
		return s.keysInPlace(), true
	}
	for v, voice := range s.tune.Voices {
		if !s.player.Has(voice.ID) {
			continue
		}
		for b := range voice.Bars() {
			own, ok := s.barKeys(v, b)
			if !ok {
				return nil, false
			}
			edits = append(edits, own...)
		}
	}
	return edits, true
}

// barKeys changes the fields in a bar that is moved, and sets the key at its beginning
// where it is the first of its key to be moved, or the first that is not.
func (s *scope) barKeys(voice, b int) (edits []score.Edit, ok bool) {
	bars := s.tune.Voices[voice].Bars()
	bar := &bars[b]
	moves, before := s.moves(voice, b), b > 0 && s.moves(voice, b-1)
	if moves {
		edits = s.keysInBar(bar)
	}
	was, is, ok := flatName(bar.Key.Text)
	starts := moves && (!before || bars[b-1].Key != bar.Key && len(s.keysInBar(&bars[b-1])) == 0)
	ends := !moves && before && bars[b-1].Key == bar.Key
	if !starts && !ends {
		return edits, true
	}
	if ends {
		is = was
	}
	at := s.barMusic(bar)
	first := fieldsFirst.Find(s.File.Text()[at:])
	if strings.Contains(string(first), "[K:") {
		return edits, true // the field says it
	}
	at += len(first)
	return append(edits, score.Edit{Span: score.Span{Start: at, End: at}, Text: "[K:" + is + "]"}), ok
}

// inlineKey is a key signature in the music.
var inlineKey = regexp.MustCompile(`\[K:([^\]\r\n]*)\]`)

// keysInBar changes the signatures that stand in a bar.
func (s *scope) keysInBar(bar *score.Bar) (edits []score.Edit) {
	span := barSpan(bar)
	for _, m := range inlineKey.FindAllSubmatchIndex(s.File.Text()[span.Start:span.End], -1) {
		value := string(s.File.Text()[span.Start+m[2] : span.Start+m[3]])
		if e, ok := flatField(value, span.Start+m[2]); ok {
			edits = append(edits, e)
		}
	}
	return edits
}

// fieldsFirst are fields in the music before the first note.
var fieldsFirst = regexp.MustCompile(`^(\s*\[[A-Za-z]:[^\]\r\n]*\])*`)

// ending is the label of an ending at the beginning of its bar.
var ending = regexp.MustCompile(`^\s*\[?[0-9][0-9,.\-]*`)

// barMusic is where in the file the music of a bar begins, after its bar line and the
// label of an ending.
func (s *scope) barMusic(bar *score.Bar) int {
	at := bar.Start
	if bar.Opening != "" && bar.Open().Span.Start >= 0 && bar.Open().Span.Start+bar.Start >= bar.Start {
		at = max(at, bar.Start+bar.Open().Span.End)
	}
	if bar.Ending != "" {
		at += len(ending.Find(s.File.Text()[at:]))
	}
	return at
}

// keysInPlace rewrites every K: of the tune that has five to seven sharps.
func (s *scope) keysInPlace() (edits []score.Edit) {
	text := s.File.Text()
	for i := range s.File.Lines() {
		start := s.File.Start(i)
		if start < s.tune.Span.Start || start >= s.tune.Span.End {
			continue
		}
		at, inKey := start, false
		for _, leaf := range s.File.Line(i).Leaves {
			end := at + leaf.Len()
			switch {
			case leaf.Kind() == syntax.FieldName:
				inKey = strings.Contains(string(text[at:end]), "K")
			case inKey && leaf.Kind() == syntax.FieldText:
				if e, ok := flatField(string(text[at:end]), at); ok {
					edits = append(edits, e)
				}
				inKey = false
			}
			at = end
		}
	}
	sort.Slice(edits, func(i, j int) bool { return edits[i].Span.Start < edits[j].Span.Start })
	return edits
}

// flatField rewrites the key in the value of K:, which stands at an offset.
func flatField(value string, at int) (score.Edit, bool) {
	was, is, ok := flatName(value)
	if !ok || flatKeys[sharpsOf(value)] == "" {
		return score.Edit{}, false
	}
	start := at + strings.Index(value, was)
	return score.Edit{Span: score.Span{Start: start, End: start + len(was)}, Text: is}, true
}

// sharpsOf counts the sharps of a key by its words.
func sharpsOf(value string) int {
	t := score.Build(syntax.Parse([]byte("X:1\nK:" + value + "\nC\n"))).Tunes
	if len(t) == 0 || len(t[0].Voices) == 0 || t[0].Voices[0].Len() == 0 || !movable(t[0].Voices[0].Bars()[0].Key) {
		return -1
	}
	return sharps(t[0].Voices[0].Bars()[0].Key)
}
