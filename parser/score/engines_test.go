package score

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"testing"

	"fourfold/parser/syntax"

	"github.com/stretchr/testify/require"
)

// unlike compares the notes of a tune with the keys that an engine strikes, by
// onset and key, and gives what only one of them has. An onset may differ by
// what an engine's ticks round away, and by the little that abc2midi delays the
// upper notes of some chords.
func unlike(t *Tune, keys []struckKey) (ours, theirs []struckKey) {
	const slack, same = 60, 12
	byKey := map[int][]int{}
	for _, k := range keys {
		byKey[k.key] = append(byKey[k.key], k.tick)
	}
	mine := map[int][]int{}
	for _, n := range Notes(t) {
		mine[n.Midi] = append(mine[n.Midi], int(math.Round(n.Onset.Float()*1920)))
	}
	for key := range 256 {
		a, b := distinct(mine[key-64], same), distinct(byKey[key-64], same)
		i, j := 0, 0
		for i < len(a) || j < len(b) {
			switch {
			case j == len(b) || i < len(a) && a[i] < b[j]-slack:
				ours = append(ours, struckKey{a[i], key - 64})
				i++
			case i == len(a) || b[j] < a[i]-slack:
				theirs = append(theirs, struckKey{b[j], key - 64})
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

// abc2midi plays one tune.
func abc2midi(t *testing.T, dir string, tune []byte, oldChords bool) []struckKey {
	in, out := filepath.Join(dir, "tune.abc"), filepath.Join(dir, "tune.mid")
	os.Remove(out)
	require.NoError(t, os.WriteFile(in, tune, 0o600))
	args := []string{in, "-silent", "-NFNP", "-NFER", "-NGRA", "-NGUI", "-o", out}
	if oldChords {
		args = append(args, "-OCC")
	}
	exec.Command("abc2midi", args...).Run()
	b, err := os.ReadFile(out)
	if err != nil {
		return nil
	}
	keys, err := readMIDI(b)
	require.NoError(t, err)
	return keys
}

// TestAbc2midi compares every tune of the sets without a table of truth with
// what abc2midi plays (Debian package abcmidi, 4.84). Where they disagree, the
// clause of the standard that decides is named in disagreements.
func TestAbc2midi(t *testing.T) {
	dir := corpus(t)
	if _, err := exec.LookPath("abc2midi"); err != nil {
		t.Skip("abc2midi is not installed: the comparison with it is skipped")
	}
	temp := t.TempDir()
	for _, set := range []string{"nottingham", "abcjs-tests", "abcm2ps-examples", "abcmidi-examples"} {
		tunes, agree := 0, 0
		why := map[string]int{}
		for _, name := range abcFiles(t, dir+"/"+set) {
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			f := syntax.Parse(text)
			s := Build(f)
			i := 0
			for _, b := range f.Blocks() {
				if b.Kind != syntax.TuneBlock {
					continue
				}
				tune := s.Tunes[i]
				i++
				tunes++
				plain := neutral(f, b)
				ours, theirs := unlike(tune, abc2midi(t, temp, plain, holds(f, b, syntax.OldChord)))
				if len(ours)+len(theirs) == 0 {
					agree++
					continue
				}
				key := fmt.Sprintf("%s/%s X:%s", set, filepath.Base(name), tune.Number)
				reason := disagreements[key]
				if reasons[reason] == "" {
					t.Errorf("%s: only here %v, only abc2midi %v", key, first(ours), first(theirs))
				}
				why[reason]++
			}
		}
		t.Logf("%s: %d tunes, %d agree with abc2midi, %v", set, tunes, agree, why)
	}
}

func first(keys []struckKey) string {
	sort.Slice(keys, func(i, j int) bool { return keys[i].tick < keys[j].tick })
	if len(keys) > 4 {
		return fmt.Sprint(keys[:4], " and ", len(keys)-4, " more")
	}
	return fmt.Sprint(keys)
}

// holds says whether a block has a leaf of the kind.
func holds(f *syntax.File, b syntax.Block, k syntax.Kind) bool {
	for i := b.First; i < b.End; i++ {
		for _, l := range f.Line(i).Leaves {
			if l.Kind() == k {
				return true
			}
		}
	}
	return false
}
