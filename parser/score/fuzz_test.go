package score

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/require"
)

// seeds are the texts that fuzzing starts from.
func seeds(f *testing.F) [][]byte {
	var out [][]byte
	for _, pattern := range []string{"../../testdata/abc/*/*.abc", "../../testdata/demo/*.abc"} {
		names, err := filepath.Glob(pattern)
		require.NoError(f, err)
		for _, n := range names {
			b, err := os.ReadFile(n)
			require.NoError(f, err)
			out = append(out, b)
		}
	}
	require.NotEmpty(f, out)
	return out
}

// FuzzParse: the tree prints the text it was read from, and no text stops the
// reading of tree, score, times or notes.
func FuzzParse(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		file := syntax.Parse(text)
		var b bytes.Buffer
		_, err := file.WriteTo(&b)
		require.NoError(t, err)
		require.True(t, bytes.Equal(text, b.Bytes()))
		checkBlocks(t, file)
		s := Build(file)
		for _, tune := range s.Tunes {
			checkTune(t, tune, len(text))
		}
		require.Equal(t, notesOf(file), streamed(t, file))
	})
}

// checkBlocks: the blocks of a file hold every line once.
func checkBlocks(t *testing.T, f *syntax.File) {
	at := 0
	for _, b := range f.Blocks() {
		require.Equal(t, at, b.First)
		require.Greater(t, b.End, b.First)
		at = b.End
	}
	require.Equal(t, f.Lines(), at)
}

// checkTune: times are valid and in order, spans lie in the text.
func checkTune(t *testing.T, tune *Tune, size int) {
	inside := func(s Span) {
		require.True(t, s.Start >= 0 && s.Start <= s.End && s.End <= size, "span %v of %d", s, size)
	}
	for _, p := range tune.Problems {
		inside(p.Span)
		for _, fix := range p.Fixes {
			for _, e := range fix.Edits {
				inside(e.Span)
			}
		}
	}
	for _, v := range tune.Voices {
		for i := range v.Bars() {
			b := &v.Bars()[i]
			require.True(t, b.Length.Valid())
			for k := range b.Events() {
				e := &b.Events()[k]
				inside(e.Span.Shift(b.Start))
				require.True(t, e.Onset.Valid() && e.Duration.Valid())
				for _, m := range e.Marks {
					inside(m.Span.Shift(b.Start))
				}
				for _, n := range e.Notes {
					inside(n.Span.Shift(b.Start))
					inside(n.Head.Shift(b.Start))
					require.True(t, n.Duration.Valid() && n.Joined.Valid())
				}
				for _, g := range e.Graces {
					inside(g.Span.Shift(b.Start))
				}
			}
		}
	}
	tl := tune.Timeline(TempoChoice{})
	last := 0.0
	for k := 1; k <= tl.Bars()+1; k++ {
		require.True(t, tl.Start(k).Valid())
		require.GreaterOrEqual(t, tl.Seconds(k, Zero), last)
		last = tl.Seconds(k, Zero)
	}
}

// FuzzEdit: after an edit, tree and score are what a fresh reading gives.
func FuzzEdit(f *testing.F) {
	inserts := []string{"", "c", "|", "\n", "\r", "\n\n", "[", "]", "{", "\"", "!", "K:D\n", "[K:F]", "M:3/4\n", "X:9\n", "V:2\n", "%%begintext\n", "-", "&", "I:linebreak !\n", "m:~n=n/o/\n", "w:a b c\n", "+:x\n", "Q:1/4=60\n", "s:!f! *\n"}
	for i, s := range seeds(f) {
		f.Add(s, uint16(i*37), uint8(i%5), inserts[i%len(inserts)], uint16(i*91), uint8(i%3), inserts[i*7%len(inserts)])
	}
	f.Fuzz(func(t *testing.T, text []byte, at1 uint16, cut1 uint8, insert1 string, at2 uint16, cut2 uint8, insert2 string) {
		file := syntax.Parse(stretched(text))
		s, packed := Build(file), build(file, shortForTests)
		for _, e := range []struct {
			at, cut int
			insert  string
		}{{int(at1), int(cut1), insert1}, {int(at2), int(cut2), insert2}} {
			start := e.at % (len(file.Text()) + 1)
			end := min(start+e.cut, len(file.Text()))
			next := file.Edit(start, end, []byte(e.insert))
			fresh := syntax.Parse(bytes.Clone(next.Text()))
			requireSameFile(t, fresh, next)
			updated := Update(s, file, next)
			requireSameScore(t, Build(fresh), updated)
			after := Update(packed, file, next)
			requireSameScore(t, build(fresh, shortForTests), after)
			moved := len(next.Text()) - len(file.Text())
			requireSameChange(t, s, updated, moved)
			requireSameChange(t, packed, after, moved)
			file, s, packed = next, updated, after
		}
	})
}

// stretched repeats the lines of a short text, without empty lines and X:, so
// that it is long enough for an edit to leave most of a tune alone.
func stretched(text []byte) []byte {
	const lines = 80
	n := bytes.Count(text, []byte{'\n'})
	if n == 0 || n > lines || len(text) > 4000 {
		return text
	}
	out := bytes.Clone(text)
	for k := n; k < lines; k += n {
		for line := range bytes.Lines(text) {
			if len(bytes.TrimSpace(line)) > 0 && !bytes.HasPrefix(line, []byte("X:")) {
				out = append(out, line...)
			}
		}
	}
	return out
}

// TestUpdate makes random edits in long scores and compares each with a fresh
// reading.
func TestUpdate(t *testing.T) {
	texts := [][]byte{harpPart(160), testTunes(t)}
	if dir := os.Getenv("FOURFOLD_CORPUS"); dir != "" {
		for _, name := range abcFiles(t, dir+"/../repertoire/harp", dir+"/../repertoire/keyboard", dir+"/abcm2ps-examples")[:12] {
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			texts = append(texts, text)
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	pieces := []string{"c", "|", "G2 ", "\n", "[", "]", "-", "^f", "(3", "{c}", "&", "[K:A]", "[M:3/4]", "Z2|", "!f!", "(", ")", ":|", "|1 ", "\"^x\"", "[V:LH]", "V:RH\n", "Q:1/4=80\n", "w:a b\n", "s:!p! *\n", "\\\n", "%", "z8|", "$", "L:1/4\n", "&&", ">", "x8 |\n", "P:A\n", "%%score {LH RH}\n", "\n\n"}
	for _, text := range texts {
		file := syntax.Parse(text)
		s, packed := Build(file), build(file, shortForTests)
		for range 120 {
			size := len(file.Text())
			start := random.IntN(size + 1)
			end := min(size, start+[]int{0, 0, 0, 1, 2, 9, 40}[random.IntN(7)])
			insert := pieces[random.IntN(len(pieces))]
			if random.IntN(3) == 0 {
				insert = ""
			}
			next := file.Edit(start, end, []byte(insert))
			fresh := syntax.Parse(bytes.Clone(next.Text()))
			requireSameFile(t, fresh, next)
			updated := Update(s, file, next)
			requireSameScore(t, Build(fresh), updated)
			after := Update(packed, file, next)
			requireSameScore(t, build(fresh, shortForTests), after)
			moved := len(next.Text()) - len(file.Text())
			requireSameChange(t, s, updated, moved)
			requireSameChange(t, packed, after, moved)
			file, s, packed = next, updated, after
		}
	}
}

func testTunes(t *testing.T) []byte {
	names, err := filepath.Glob("../../testdata/abc/cases/*.abc")
	require.NoError(t, err)
	var all []byte
	for _, n := range names {
		b, err := os.ReadFile(n)
		require.NoError(t, err)
		all = append(append(all, b...), '\n', '\n')
	}
	return all
}

func requireSameFile(t *testing.T, want, got *syntax.File) {
	require.Equal(t, want.Lines(), got.Lines())
	require.Equal(t, want.Blocks(), got.Blocks())
	for i := range want.Lines() {
		require.Equal(t, want.Start(i), got.Start(i))
		require.Equal(t, want.Line(i), got.Line(i))
	}
}

func requireSameScore(t *testing.T, want, got *Score) {
	require.Equal(t, want.Problems, got.Problems)
	require.Equal(t, len(want.Tunes), len(got.Tunes))
	for i := range want.Tunes {
		a, b := *want.Tunes[i], *got.Tunes[i]
		a.trail, b.trail = nil, nil
		a.id, b.id, a.edited, b.edited = nil, nil, nil, nil
		a.Voices, b.Voices = inRows(a.Voices), inRows(b.Voices)
		require.Equal(t, a, b)
	}
}

// requireSameChange: what an Update notes of the bars that it read again is what comparing
// all bars finds, and all others are the ones that were there.
func requireSameChange(t *testing.T, old, now *Score, moved int) {
	if len(old.Tunes) != len(now.Tunes) {
		return
	}
	for i := range now.Tunes {
		was, is := old.Tunes[i], now.Tunes[i]
		plain := *is
		plain.edited = nil
		from, to, ok := Changed(was, &plain, moved)
		from2, to2, ok2 := Changed(was, is, moved)
		require.Equal(t, []any{from, to, ok}, []any{from2, to2, ok2})
		if is.edited == nil || is.edited.of != was.id {
			continue
		}
		for v, r := range is.edited.bars {
			if v >= len(was.Voices) {
				continue
			}
			a, b := was.Voices[v].Bars(), is.Voices[v].Bars()
			for k := range b {
				switch {
				case k < r.from:
					requireSameBar(t, a[k], b[k], was.long == is.long)
				case k >= r.to:
					c := a[k-r.to+r.was]
					requireSameBar(t, Bar{c.Start + is.edited.bytes, c.Content}, b[k], was.long == is.long)
				}
			}
		}
	}
}

func requireSameBar(t *testing.T, a, b Bar, shared bool) {
	require.Equal(t, a.Start, b.Start)
	require.True(t, a.Content == b.Content || !shared && a.unpacked().Equal(b.unpacked()))
}

// inRows gives copies of voices whose bars lie in one row.
func inRows(voices []*Voice) (out []*Voice) {
	for _, v := range voices {
		out = append(out, v.withBars(listOf(v.Bars())))
	}
	return out
}
