package score

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// engine is another program that reads ABC.
type engine struct {
	name string
	// byOctave: it keeps an accidental to its octave, which 11.3 calls octave
	// and which is not the default.
	byOctave bool
	// play gives the keys that each tune strikes, or says why it cannot.
	play func(t *testing.T, tunes [][]byte) ([][]struckKey, error)
}

var engines = []engine{
	{"abc2midi", false, abc2midi},
	{"abc2svg", true, script("abc2svg.js")},
	{"abcjs", true, script("abcjs.js")},
}

// TestEngines compares every tune of the sets without a table of truth with
// what other programs play: abc2midi (Debian package abcmidi, 4.84), abc2svg
// and abcjs (npm, 1.22.1 and 6.7.2, found through NODE_PATH). Where one
// disagrees, the table of disagreements says why, and which clause decides.
func TestEngines(t *testing.T) {
	dir := corpus(t)
	var all []*contest
	for _, set := range []string{"nottingham", "abcjs-tests", "abcm2ps-examples", "abcmidi-examples"} {
		for _, name := range abcFiles(t, dir+"/"+set) {
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			all = append(all, contests(syntax.Parse(text), set, filepath.Base(name))...)
		}
	}
	for _, e := range engines {
		t.Run(e.name, func(t *testing.T) { e.compare(t, all) })
	}
}

// contest is one tune to compare.
type contest struct {
	set, key string
	tune     *Tune
	text     []byte // rewritten for an engine
	byOctave *Tune  // read with accidentals kept to their octave
}

func contests(f *syntax.File, set, file string) []*contest {
	var out []*contest
	s := Build(f)
	for _, b := range f.Blocks() {
		if b.Kind != syntax.TuneBlock {
			continue
		}
		tune := s.Tunes[len(out)]
		text := neutral(f, b)
		c := &contest{set: set, key: fmt.Sprintf("%s/%s X:%s", set, file, tune.Number), tune: tune}
		c.text = text
		octave := Build(syntax.Parse(append([]byte("I:propagate-accidentals octave\n\n"), f.Text()[f.Start(b.First):f.Start(b.End)]...)))
		if len(octave.Tunes) > 0 {
			c.byOctave = octave.Tunes[0]
		}
		out = append(out, c)
	}
	return out
}

func (e *engine) compare(t *testing.T, all []*contest) {
	var tunes [][]byte
	for _, c := range all {
		tunes = append(tunes, c.text)
	}
	keys, err := e.play(t, tunes)
	if err != nil {
		t.Skipf("%s: the comparison with it is skipped: %v", e.name, err)
	}
	total, agree, seen := map[string]int{}, map[string]int{}, map[string]bool{}
	why := map[string]map[string]int{}
	for i, c := range all {
		total[c.set]++
		ours, theirs := unlike(c.tune, keys[i])
		if len(ours)+len(theirs) == 0 {
			agree[c.set]++
			continue
		}
		reason := disagreements[e.name][c.key]
		seen[c.key] = true
		if reason == "" && e.byOctave && c.byOctave != nil {
			if a, b := unlike(c.byOctave, keys[i]); len(a)+len(b) == 0 {
				reason = "octave of accidentals"
			}
		}
		if reasons[reason] == "" {
			t.Errorf("%s: only here %v, only %s %v", c.key, first(ours), e.name, first(theirs))
		}
		if why[c.set] == nil {
			why[c.set] = map[string]int{}
		}
		why[c.set][reason]++
	}
	for key := range disagreements[e.name] {
		assert.True(t, seen[key], "%s agrees by now", key)
	}
	for set := range total {
		t.Logf("%s: %d tunes of %s, %d agree, others: %v", e.name, total[set], set, agree[set], why[set])
	}
}

// unlike compares the notes of a tune with the keys that an engine strikes, by
// onset and key, and gives what only one of them has. An onset may differ by
// what an engine's ticks round away, and by the little that abc2midi delays the
// upper notes of some chords.
func unlike(t *Tune, keys []struckKey) (ours, theirs []struckKey) {
	const slack, same = 60, 12
	byKey, mine := map[int][]int{}, map[int][]int{}
	for _, k := range keys {
		byKey[k.key] = append(byKey[k.key], k.tick)
	}
	for _, n := range Notes(t) {
		mine[n.Midi] = append(mine[n.Midi], int(math.Round(n.Onset.Float()*1920)))
	}
	for key := -64; key < 192; key++ {
		a, b := distinct(mine[key], same), distinct(byKey[key], same)
		i, j := 0, 0
		for i < len(a) || j < len(b) {
			switch {
			case j == len(b) || i < len(a) && a[i] < b[j]-slack:
				ours = append(ours, struckKey{a[i], key})
				i++
			case i == len(a) || b[j] < a[i]-slack:
				theirs = append(theirs, struckKey{b[j], key})
				j++
			default:
				// the two voices that meet here may come apart by a delay
				at := max(a[i], b[j])
				for i < len(a) && a[i] <= at+same*2 {
					i++
				}
				for j < len(b) && b[j] <= at+same*2 {
					j++
				}
			}
		}
	}
	return ours, theirs
}

// distinct sorts times and drops those that coincide: an engine strikes a key
// once where two voices meet on it.
func distinct(ticks []int, slack int) []int {
	sort.Ints(ticks)
	var out []int
	for _, x := range ticks {
		if len(out) == 0 || x > out[len(out)-1]+slack {
			out = append(out, x)
		}
	}
	return out
}

func abc2midi(t *testing.T, tunes [][]byte) ([][]struckKey, error) {
	if _, err := exec.LookPath("abc2midi"); err != nil {
		return nil, err
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "tune.abc"), filepath.Join(dir, "tune.mid")
	var all [][]struckKey
	for _, p := range tunes {
		os.Remove(out)
		require.NoError(t, os.WriteFile(in, p, 0o600))
		args := []string{in, "-silent", "-NFNP", "-NFER", "-NGRA", "-NGUI", "-o", out}
		exec.Command("abc2midi", args...).Run() // a tune that it cannot read leaves no file
		var keys []struckKey
		if b, err := os.ReadFile(out); err == nil {
			keys, err = readMIDI(b)
			require.NoError(t, err)
		}
		all = append(all, keys)
	}
	return all, nil
}

// script plays with a Node script, all tunes in one run.
func script(name string) func(*testing.T, [][]byte) ([][]struckKey, error) {
	return func(t *testing.T, tunes [][]byte) ([][]struckKey, error) {
		var texts []string
		for _, p := range tunes {
			texts = append(texts, strings.ToValidUTF8(string(p), "?"))
		}
		in, err := json.Marshal(texts)
		require.NoError(t, err)
		cmd := exec.Command("node", filepath.Join("testdata", "engines", name))
		cmd.Stdin = bytes.NewReader(in)
		out, err := cmd.Output()
		if err != nil {
			return nil, err
		}
		var lists [][][2]int
		require.NoError(t, json.Unmarshal(out[bytes.LastIndexByte(bytes.TrimSpace(out), '\n')+1:], &lists))
		all := make([][]struckKey, len(lists))
		for i, l := range lists {
			for _, k := range l {
				all[i] = append(all[i], struckKey{k[0], k[1]})
			}
		}
		return all, nil
	}
}

func first(keys []struckKey) string {
	sort.Slice(keys, func(i, j int) bool { return keys[i].tick < keys[j].tick })
	if len(keys) > 4 {
		return fmt.Sprint(keys[:4], " and ", len(keys)-4, " more")
	}
	return fmt.Sprint(keys)
}
