package score

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// Term is something that can be written, and what it means, for one who types.
type Term struct {
	Name  string // as it is written: "K:", "trill", "%%score"
	Title string // one line
	Doc   string // more; "" where the title says it
}

// FieldTerm is a field, and where it may stand.
type FieldTerm struct {
	Term
	Header, Body, Inline bool
}

// Fields are the information fields of ABC 2.1, in the order in which a header has
// them. Source: the standard's table of fields, abcnotation.com/wiki/abc:standard:v2.1.
func Fields() []FieldTerm {
	h, hb, hbi, b := [3]bool{true, false, false}, [3]bool{true, true, false}, [3]bool{true, true, true}, [3]bool{false, true, false}
	rows := []struct {
		where            [3]bool
		name, title, doc string
	}{
		{h, "X:", "number of the tune", "Starts a tune. Each tune of a file has another number."},
		{hb, "T:", "title", "A second T: is a subtitle; in the music it heads what follows."},
		{h, "C:", "composer", ""},
		{h, "O:", "origin", ""},
		{h, "A:", "area", "An older way to say where a tune is from: O: is preferred."},
		{h, "B:", "book", ""},
		{h, "D:", "discography", ""},
		{h, "F:", "address of the file", ""},
		{h, "G:", "group", ""},
		{h, "H:", "history", "May go on over several lines, each begun with +:."},
		{hbi, "N:", "notes about the tune", ""},
		{h, "S:", "source", "Where the tune was taken from."},
		{h, "Z:", "transcription", "Who typed it."},
		{hbi, "R:", "rhythm", "The kind of tune: reel, waltz."},
		{hbi, "M:", "meter", "M:3/4, M:C, M:C|, M:(2+3)/8 or M:none."},
		{hbi, "L:", "unit note length", "What a letter without a number lasts: L:1/8. Without L: it is a sixteenth in short meters, else an eighth."},
		{hbi, "Q:", "tempo", "The note that is counted, and how many a minute: Q:1/4=96, or Q:\"Andante\" 3/8=60."},
		{hbi, "P:", "parts", "In the header the order, P:AABA; in the music the name of the part that starts."},
		{hbi, "V:", "voice", "In the header it declares a voice: V:RH name=\"Harp\" clef=treble. In the music it turns to it."},
		{hbi, "U:", "own symbol", "Gives a letter from H to W or h to w a meaning: U:T=!trill!"},
		{hbi, "m:", "macro", "Text that stands for other text: m:~n2=(3n/o/n/m/"},
		{hbi, "I:", "instruction", "The same as a %% line."},
		{hbi, "K:", "key", "The last field of the header; in the music it changes the key. K:D, K:Am, K:Ddor, K:C clef=bass."},
		{b, "w:", "words under the notes", "A syllable a note: - joins, _ holds, * skips, | goes to the next bar."},
		{hb, "W:", "words after the tune", ""},
		{b, "s:", "symbols over the notes", "One a note, as w: has syllables."},
		{hbi, "r:", "remark", ""},
		{b, "+:", "goes on with the field before", ""},
	}
	var out []FieldTerm
	for _, r := range rows {
		out = append(out, FieldTerm{Term{r.name, r.title, r.doc}, r.where[0], r.where[1], r.where[2]})
	}
	return out
}

// Modes are what may follow the tonic of K:.
func Modes() []Term {
	return []Term{
		{"major", "major", "May be left out."}, {"minor", "natural minor", "Also written m: Am."}, {"dorian", "minor with a raised sixth", ""},
		{"mixolydian", "major with a lowered seventh", ""}, {"phrygian", "minor with a lowered second", ""},
		{"lydian", "major with a raised fourth", ""}, {"locrian", "minor with a lowered second and fifth", ""},
		{"aeolian", "natural minor", ""}, {"ionian", "major", ""},
	}
}

// Keys are the major and minor keys from seven flats to seven sharps, those with
// fewer signs first, with their signatures in words; then the two of the pipes and
// none.
func Keys() []Term {
	major := []string{"Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"}
	minor := []string{"Abm", "Ebm", "Bbm", "Fm", "Cm", "Gm", "Dm", "Am", "Em", "Bm", "F#m", "C#m", "G#m", "D#m", "A#m"}
	var out []Term
	for _, names := range [][]string{major, minor} {
		for i, name := range names {
			mode := " major"
			if strings.HasSuffix(name, "m") {
				mode = " minor"
			}
			title := strings.NewReplacer("b", "♭", "#", "♯").Replace(strings.TrimSuffix(name, "m")) + mode + ", " + signs(i-7)
			out = append(out, Term{Name: name, Title: title})
		}
	}
	slices.SortStableFunc(out, func(a, b Term) int {
		return cmp.Compare(signCount(a.Name), signCount(b.Name))
	})
	return append(out, Term{Name: "none", Title: "no signature"}, Term{Name: "HP", Title: "highland pipes, no signature printed"})
}

func signCount(key string) (n int) {
	for _, s := range KeySign(key) {
		if s != 0 {
			n++
		}
	}
	return n
}

// KeySign is what a K: field's text does to the seven letters, C to B, in
// semitones.
func KeySign(text string) [7]int8 { return parseKey(text).key.Sign }

// signs names so many sharps, or flats below 0.
func signs(n int) string {
	word := " sharp"
	if n < 0 {
		n, word = -n, " flat"
	}
	switch n {
	case 0:
		return "no signs"
	case 1:
		return "1" + word
	}
	return strconv.Itoa(n) + word + "s"
}

// Clefs are the names after clef=.
func Clefs() []Term {
	return []Term{
		{"treble", "G clef", "The upper staff of a harp part."}, {"bass", "F clef", "The lower staff of a harp part."},
		{"alto", "C clef on the middle line", ""}, {"tenor", "C clef on the fourth line", ""},
		{"soprano", "C clef on the first line", ""}, {"mezzosoprano", "C clef on the second line", ""},
		{"baritone", "C clef on the fifth line", ""}, {"treble-8", "G clef, sounding an octave lower", ""},
		{"treble+8", "G clef, sounding an octave higher", ""}, {"bass-8", "F clef, sounding an octave lower", ""},
		{"perc", "percussion", ""}, {"none", "no clef", ""},
	}
}

// VoiceProperties are what may follow the id of V:.
func VoiceProperties() []Term {
	return []Term{
		{"name=", "name before the first staff", "In quotes where it has blanks. A part that is named Harp is read as a harp part."},
		{"subname=", "name before the other staves", "Also written snm=."},
		{"clef=", "clef", "treble, bass, alto, tenor, …; -8 or +8 behind it for an octave."},
		{"octave=", "octaves that the notes are moved by", "octave=-1 types a bass part without commas."},
		{"transpose=", "semitones that the notes sound away from where they stand", ""},
		{"stem=", "direction of the stems: up, down or auto", ""},
		{"middle=", "the note on the middle line of the staff", ""},
		{"stafflines=", "lines of the staff", ""},
	}
}

// Directives are the %% lines that are met most, by their names without %%.
// Source: the standard's sections on instructions and typesetting.
func Directives() []Term {
	return []Term{
		{"score", "staves and the voices on them", "Braces bind the staves of one player, parentheses put voices on one staff: %%score {RH (LH LX)}"},
		{"staves", "staves and the voices on them", "An older way to write %%score."},
		{"fourfold", "a setting of Fourfold for this tune", "%%fourfold harp RH LH names the voices of the harp; any setting can follow as name=value."},
		{"propagate-accidentals", "how far an accidental reaches in its bar", "not, octave or pitch."},
		{"writeout-accidentals", "which accidentals are printed", "none, added or all."},
		{"linebreak", "what ends a line of the printed score", "<EOL>, $, ! or <none>."},
		{"decoration", "what stands around decorations", "! or +."},
		{"abc-charset", "the file's character set", "utf-8."},
		{"abc-version", "the version of the standard", "2.1."},
		{"abc-include", "another file whose header counts here", "Only this file is read by Fourfold: copy what it sets."},
		{"abc-creator", "the program that wrote the file", ""},
		{"abc-edited-by", "the program that changed the file", ""},
		{"MIDI", "how a program plays it", ""},
		{"begintext", "free text up to %%endtext", ""}, {"endtext", "ends %%begintext", ""},
		{"text", "a line of text", ""}, {"center", "a line of text in the middle", ""},
		{"newpage", "starts a page", ""}, {"vskip", "space before what follows", ""}, {"sep", "a short line between tunes", ""},
		{"pagewidth", "width of the page", ""}, {"pageheight", "height of the page", ""}, {"scale", "size of the music", ""},
		{"staffwidth", "width of the staves", ""}, {"staffsep", "space between staves", ""}, {"sysstaffsep", "space between the staves of a system", ""},
		{"leftmargin", "left margin", ""}, {"rightmargin", "right margin", ""}, {"topmargin", "upper margin", ""}, {"botmargin", "lower margin", ""},
		{"titlefont", "font of T:", ""}, {"composerfont", "font of C:", ""}, {"annotationfont", "font of annotations", ""}, {"vocalfont", "font of w:", ""},
		{"measurenb", "numbers of bars", ""}, {"barnumbers", "numbers of bars", ""}, {"header", "head of each page", ""}, {"footer", "foot of each page", ""},
		{"writefields", "which fields are printed", ""}, {"graceslurs", "slurs from grace notes", ""}, {"exprabove", "dynamics over the staff", ""},
	}
}

// Annotations are texts in quotes over a note that are read as something for the
// harpist.
func Annotations() []Term {
	return []Term{
		{"^R.H.", "the right hand takes it", "To the end of the bar. Also m.d."},
		{"_L.H.", "the left hand takes it", "To the end of the bar. Also m.g. or m.s."},
		{"^bisb.", "bisbigliando", "Soft repeats between the hands."},
		{"^étouffez", "muffled", "The string is damped at once: it takes time, and the left hand."},
	}
}

// decorationTitles say what the decorations do that are read for the harp, and the
// most usual others. The rest say what they are by their names.
var decorationTitles = map[string]string{
	"arpeggio": "rolled: one string after another, from the lowest up", "open": "harmonic on the harp", "fermata": "held: 1 s more before the next note",
	"invertedfermata": "held: 1 s more before the next note", "breath": "a breath: 0.25 s more before the next note", "trill": "trill; a long one wants both hands",
	"trill(": "start of a long trill", "trill)": "end of a long trill", "glissando(": "start of a glissando", "glissando)": "end of a glissando",
	"~(": "start of a glissando", "~)": "end of a glissando", "/": "tremolo, one stroke", "//": "tremolo, two strokes", "///": "tremolo, three strokes",
	"1": "finger 1, the thumb", "2": "finger 2", "3": "finger 3", "4": "finger 4, the ring finger", "5": "finger 5, which harpists do not use",
	"segno": "sign to go back to", "coda": "sign to jump to", "D.S.": "back to the sign", "D.C.": "back to the start", "fine": "end",
	"crescendo(": "start of getting louder", "crescendo)": "end of getting louder", "diminuendo(": "start of getting softer", "diminuendo)": "end of getting softer",
	"<(": "start of getting louder", "<)": "end of getting louder", ">(": "start of getting softer", ">)": "end of getting softer",
	"accent": "accent", ">": "accent", "tenuto": "held for its full length", "staccato": "short", "mordent": "the note below, quickly", "roll": "roll of fiddlers",
	"8va(": "start of an octave higher", "8va)": "end of an octave higher", "8vb(": "start of an octave lower", "8vb)": "end of an octave lower",
	"damp": "damped", "lv": "let it ring", "l.v.": "let it ring", "upbow": "up bow", "downbow": "down bow",
}

// Decorations are the names that may stand between exclamation marks, those with a
// title first.
func Decorations() (out []Term) {
	for name := range known {
		out = append(out, Term{Name: name, Title: decorationTitles[name]})
	}
	slices.SortFunc(out, func(a, b Term) int {
		return cmp.Or(cmp.Compare(min(1, len(b.Title)), min(1, len(a.Title))), cmp.Compare(a.Name, b.Name))
	})
	return out
}
