package score

import (
	"os"
	"path/filepath"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shortForTests is how many bars a tune may have here before it is packed: so few that
// packing happens in the middle of most texts.
const shortForTests = 3

// never is more bars than a tune has.
const never = 1 << 40

// requirePacked: a reading that packs bars holds what one holds that packs none.
func requirePacked(t *testing.T, f *syntax.File) {
	plain, packed := build(f, never), build(f, shortForTests)
	for i, tune := range packed.Tunes {
		want, unpacked := plain.Tunes[i], tune.Unpacked()
		require.Equal(t, want.Bars() > shortForTests, tune.long)
		for k, v := range tune.Voices {
			for b := range v.Bars() {
				require.Equal(t, tune.long, v.Bars()[b].body == nil)
				require.Equal(t, want.Voices[k].Bars()[b].Events(), v.Bars()[b].Events())
				require.Equal(t, want.Voices[k].Bars()[b].Open(), v.Bars()[b].Open())
				require.Equal(t, want.Voices[k].Bars()[b].Close(), v.Bars()[b].Close())
			}
		}
		require.Equal(t, Notes(want), Notes(tune))
		a, b := bare(want), bare(unpacked)
		require.Equal(t, a, b)
	}
}

// bare gives a copy that does not know that its bars were packed, nor how it was read.
func bare(t *Tune) *Tune {
	c := *t
	c.trail, c.id, c.edited = nil, nil, nil
	c.Voices = nil
	for _, v := range t.Voices {
		var bars []Bar
		for _, b := range v.Bars() {
			bars = append(bars, Bar{b.Start, &Content{Frame: b.Frame, body: b.body}})
		}
		c.Voices = append(c.Voices, v.withBars(listOf(bars)))
	}
	return &c
}

func TestPackedEqualsUnpacked(t *testing.T) {
	var texts [][]byte
	folders := []string{"../../testdata"}
	if dir := os.Getenv("FOURFOLD_CORPUS"); dir != "" {
		folders = append(folders, dir, dir+"/../repertoire", dir+"/../abc")
	}
	for _, folder := range folders {
		require.NoError(t, filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
			if err != nil || filepath.Ext(path) != ".abc" {
				return err
			}
			text, err := os.ReadFile(path)
			if len(text) < 1<<20 {
				texts = append(texts, text)
			}
			return err
		}))
	}
	require.NotEmpty(t, texts)
	for _, text := range append(texts, harpPart(1200)) {
		requirePacked(t, syntax.Parse(text))
	}
}

// FuzzPacked: what is packed is unpacked as it was, in any text.
func FuzzPacked(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text []byte) { requirePacked(t, syntax.Parse(stretched(text))) })
}

// TestPackAnything packs bars that no text makes.
func TestPackAnything(t *testing.T) {
	note := Note{Span: Span{-3, 900}, Head: Span{7, 2}, String: -40, Alter: -2, Midi: 3, Duration: F(1, 3), Joined: F(-5, 7), TieTo: true,
		Marks: []Mark{{Kind: ChordSymbol, Text: "Am\x00é", Span: Span{5, 3}}}}
	huge := Frac{1<<62 - 1, 1<<62 - 3}
	for _, events := range [][]Event{
		nil,
		{{}},
		{{Kind: Rest, Notes: []Note{note}, Onset: huge, Duration: Frac{}}},
		{{Kind: Spacer, Chord: true, Layer: 1 << 40, SlurOpen: -1, Staff: StaffMove{-2, 3}, Tuplet: 9}, {Layer: 2, Notes: []Note{note, note, {}}}},
		{{Hidden: true, Marks: []Mark{{Place: '^', Kind: Annotation, Text: "x"}}, Graces: []Event{{Onset: huge, Notes: []Note{note}, Graces: []Event{{Broken: true}}}, {Tuplet: 4}}}, {}},
	} {
		in := body{open: Span{-100, -99}, close: Span{1 << 33, 4}, events: events}
		key := Key{Sign: [7]int8{1, -1, 0, 2, -2, 1, 0}}
		var p packer
		p.content(&in, &key)
		assert.Equal(t, &in, unpack(string(p.b), &key))
	}
}

// TestStretchOfPacked: the events of a stretch stay where they are.
func TestStretchOfPacked(t *testing.T) {
	f := syntax.Parse(harpPart(1200))
	long := Build(f).Tunes[0]
	require.True(t, long.long)
	for _, s := range []*Tune{long.Stretch(20, 40), long.Unpacked(), long.Stretch(20, 40).Stretch(25, 30)} {
		for _, v := range s.Voices {
			for i := range v.Bars() {
				b := &v.Bars()[i]
				require.Same(t, &b.Events()[0], &b.Events()[0])
			}
		}
	}
	short := Build(syntax.Parse(harpPart(500))).Tunes[0]
	require.Same(t, short, short.Unpacked())
	require.Same(t, &short.Voices[0].Bars()[3].Events()[0], &short.Stretch(4, 4).Voices[0].Bars()[0].Events()[0])
}
