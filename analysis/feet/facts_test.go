package feet

import (
	"strings"
	"testing"

	"fourfold/analysis/harp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Facts of the trade about pedals, each reproduced by a search over all 2187
// settings. "derived" marks what follows from the mechanism alone (seven letters,
// three positions); otherwise the published source stands beside.

// chord gives the pitch classes of a chord on a root.
func chord(root int, intervals ...int) PitchSet {
	var set PitchSet
	for _, i := range intervals {
		set |= 1 << ((root + i) % 12)
	}
	return set
}

func set(t *testing.T, names string) PitchSet {
	t.Helper()
	pitches, err := ParsePitches(names)
	require.NoError(t, err)
	return SetOf(pitches)
}

var roots = []string{"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"}

const all = "C Db D Eb E F Gb G Ab A Bb B"

// Chords that a glissando can sound in all octaves with no foreign note (derived).
func TestGlissandoSets(t *testing.T) {
	tests := []struct {
		name      string
		intervals []int
		settable  string
	}{
		{"major triad", []int{0, 4, 7}, ""},
		{"minor triad", []int{0, 3, 7}, ""},
		{"diminished triad", []int{0, 3, 6}, ""},
		{"augmented triad", []int{0, 4, 8}, ""},
		{"diminished 7th", []int{0, 3, 6, 9}, all},
		{"dominant 7th", []int{0, 4, 7, 10}, "Db E Gb Ab B"},
		{"minor 7th", []int{0, 3, 7, 10}, "Db Eb F Ab Bb"},
		{"half-diminished 7th", []int{0, 3, 6, 10}, "C D F G Bb"},
		{"dominant 9th", []int{0, 2, 4, 7, 10}, all},
		{"dominant 7b9", []int{0, 1, 4, 7, 10}, all},
		{"major pentatonic", []int{0, 2, 4, 7, 9}, all},
		{"whole-tone", []int{0, 2, 4, 6, 8, 10}, all},
		{"major scale", []int{0, 2, 4, 5, 7, 9, 11}, all},
		{"harmonic minor", []int{0, 2, 3, 5, 7, 8, 11}, all},
		{"rising melodic minor", []int{0, 2, 3, 5, 7, 9, 11}, all},
		{"octatonic, semitone first", []int{0, 1, 3, 4, 6, 7, 9, 10}, ""},
		{"octatonic, tone first", []int{0, 2, 3, 5, 6, 8, 9, 11}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var settable []string
			for root, name := range roots {
				if len(Exact(chord(root, tt.intervals...))) > 0 {
					settable = append(settable, name)
				}
			}
			assert.Equal(t, tt.settable, strings.Join(settable, " "))
		})
	}
}

// No set of three notes at all fills seven strings (derived).
func TestNoGlissandoOfThreeNotes(t *testing.T) {
	for s := PitchSet(0); s < 1<<12; s++ {
		if s.Len() < 4 {
			require.Empty(t, Exact(s))
		}
	}
}

// Settings of chords (derived). The three diminished sevenths have one each, in
// which one of the four notes has a single string and the others two.
func TestSettingsOfChords(t *testing.T) {
	tests := []struct {
		name, pitches string
		settings      []string
		all           bool   // there are no others
		single        string // the note with one string
	}{
		{"dim7 on B D F Ab", "B D F Ab", []string{"D Cb B | E# F G# Ab"}, true, "D"},
		{"dim7 on C Eb Gb A", "C Eb Gb A", []string{"D# C B# | Eb F# Gb A"}, true, "A"},
		{"dim7 on Db E G Bb", "Db E G Bb", []string{"Db C# Bb | E Fb G A#"}, true, "G"},
		{"Db7", "Db F Ab Cb", []string{"Db Cb B | E# F G# Ab"}, false, ""},
		{"E7", "E G# B D", []string{"D Cb B | E Fb G# Ab"}, false, ""},
		{"Gb7", "Gb Bb Db Fb", []string{"Db C# Bb | E Fb Gb A#"}, false, ""},
		{"Ab7", "Ab C Eb Gb", []string{"D# C B# | Eb F# Gb Ab"}, false, ""},
		{"B7", "B D# F# A", []string{"D# Cb B | Eb F# Gb A"}, false, ""},
		{"C pentatonic", "C D E G A", []string{"D C B# | E Fb G A"}, false, ""},
		{"F pentatonic", "F G A C D", []string{"D C B# | E# F G A"}, false, ""},
		{"G pentatonic", "G A B D E", []string{"D Cb B | E Fb G A"}, false, ""},
		{"whole tone on C", "C D E F# G# A#", []string{"D C Bb | E Fb Gb Ab", "D C B# | E F# G# A#"}, false, ""},
		{"whole tone on Db", "Db Eb F G A B", []string{"Db Cb B | Eb F G A"}, false, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var found []string
			for _, s := range Exact(set(t, tt.pitches)) {
				found = append(found, s.String())
			}
			if tt.all {
				assert.Equal(t, tt.settings, found)
			}
			for _, name := range tt.settings {
				assert.Contains(t, found, name)
				if tt.single != "" {
					assert.Equal(t, map[int]int{1: 1, 2: 3}, stringsEach(t, name, tt.single))
				}
			}
		})
	}
}

// stringsEach counts the pitch classes of a setting by how many letters sound them,
// and checks that the one named has one.
func stringsEach(t *testing.T, setting, single string) map[int]int {
	t.Helper()
	s, err := ParseSetting(setting)
	require.NoError(t, err)
	letters := map[int]int{}
	for l := C; l <= B; l++ {
		letters[pitchClass(l, int(s[l]))]++
	}
	counts := map[int]int{}
	for class, n := range letters {
		counts[n]++
		assert.Equal(t, set(t, single) == 1<<class, n == 1)
	}
	return counts
}

// 2187 settings give 977 sets: 25 of four notes, 178 of five, 415 of six and 359
// of seven (derived).
func TestHowManySets(t *testing.T) {
	sets := map[PitchSet]bool{}
	n := 0
	settings(func(s Setting) { n++; sets[s.Pitches()] = true })
	bySize := map[int]int{}
	for s := range sets {
		bySize[s.Len()]++
	}
	assert.Equal(t, 2187, n)
	assert.Len(t, sets, 977)
	assert.Equal(t, map[int]int{4: 25, 5: 178, 6: 415, 7: 359}, bySize)
}

// Notes that cannot be had together in any spelling (derived). The three-note case
// is also published: Composing for harp, Pedals sheet.
func TestNotesThatCannotBeTogether(t *testing.T) {
	impossible := map[int][]PitchSet{}
	all := map[int]int{}
	for s := PitchSet(0); s < 1<<12; s++ {
		all[s.Len()]++
		if Containing(s) == 0 {
			impossible[s.Len()] = append(impossible[s.Len()], s)
		}
	}
	assert.Empty(t, impossible[1])
	assert.Empty(t, impossible[2], "every pair is possible")
	cluster := set(t, "G G# A")
	assert.Equal(t, []PitchSet{cluster}, impossible[3])

	var without []PitchSet
	for _, s := range impossible[4] {
		if cluster&^s != 0 {
			without = append(without, s)
		}
	}
	assert.Len(t, without, 4)
	assert.Contains(t, without, set(t, "D Eb E F"))
	assert.Contains(t, without, set(t, "E F F# G"))

	for size, want := range map[int][2]int{4: {13, 495}, 5: {74, 792}, 6: {233, 924}, 7: {433, 792}} {
		assert.Equal(t, want, [2]int{len(impossible[size]), all[size]}, "sets of %d", size)
	}
}

// A chromatic octave needs at least five moves inside it: twelve pitches, seven
// letters (derived). Here by trying all settings to start from and all ways to
// go on, in the rising and in the falling order and from any pitch.
func TestChromaticOctaveNeedsFiveMoves(t *testing.T) {
	for start := range 12 {
		for _, step := range []int{1, 11} {
			moves := map[Setting]int{}
			settings(func(s Setting) { moves[s] = 0 })
			for n := range 12 {
				pitch := (start + n*step) % 12
				next := map[Setting]int{}
				for s, m := range moves {
					for l := C; l <= B; l++ {
						for p := Flat; p <= Sharp; p++ {
							if pitchClass(l, int(p)) != pitch {
								continue
							}
							to, cost := s, m
							if s[l] != p {
								to[l] = p
								cost++
							}
							if was, ok := next[to]; !ok || cost < was {
								next[to] = cost
							}
						}
					}
				}
				moves = next
			}
			least := 99
			for _, m := range moves {
				least = min(least, m)
			}
			assert.Equal(t, 5, least)
		}
	}
}

// Two strings of one pitch, and the three pitches that have one string only: a
// harpist's web essay on harp enharmonics; Sibelius Academy, Tremolo;
// Goethezeitportal, Doppelpedalharfe.
func TestHomophones(t *testing.T) {
	strings := StringsOf(harp.Concert(), nil)
	var alone []string
	pairs := map[string]bool{}
	for l := C; l <= B; l++ {
		for p := Flat; p <= Sharp; p++ {
			n := Note{String: 28 + int(l), Alter: int(p)}
			name := l.String() + p.String()
			others := strings.Respellings(n)
			if len(others) == 0 {
				alone = append(alone, name)
			}
			for _, o := range others {
				require.Len(t, others, 1)
				require.Equal(t, n.Pitch(), o.Pitch())
				other := o.Letter().String() + Pos(o.Alter).String()
				if n.String < o.String {
					pairs[name+"/"+other] = true
				}
			}
		}
	}
	assert.Equal(t, []string{"D", "G", "A"}, alone)
	for _, pair := range []string{"C#/Db", "D#/Eb", "E/Fb", "E#/F", "F#/Gb", "G#/Ab", "A#/Bb", "B/Cb", "B#/C"} {
		assert.True(t, pairs[pair], pair)
	}
	assert.Len(t, pairs, 9)
}

// Worked examples on pedals.
func TestWorkedExamples(t *testing.T) {
	possible := func(pitches string) bool { return Containing(set(t, pitches)) > 0 }
	together := func(names string) bool {
		var demands []Demand
		for _, n := range strings.Fields(names) {
			demands = append(demands, ask(0, n))
		}
		return len(Clashes(demands)) == 0
	}
	// Handout "Writing for the Pedal Harp"; Composers' wiki, Harp.
	assert.False(t, together("C C#"))
	assert.True(t, together("C Db"))
	// Composing for harp, Pedals sheet.
	assert.False(t, together("C C# D"))
	assert.True(t, together("B# C# D"))
	assert.True(t, possible("C C# D"))
	// The same sheet, and derived: impossible in every spelling.
	assert.False(t, possible("G G# A"))
	assert.False(t, possible("G Ab A"))
	// The same sheet: E#-F# or F-Gb rather than F-F#.
	assert.False(t, together("F F#"))
	assert.True(t, together("E# F#"))
	assert.True(t, together("F Gb"))
	// Debussy, Prélude à l'après-midi d'un faune, bar 4 (score, from memory; the
	// setting derived): a glissando of chord tones only.
	var names []string
	for _, s := range Exact(set(t, "A# C# E G#")) {
		names = append(names, s.String())
	}
	assert.Contains(t, names, "Db C# Bb | E Fb G# A#")
	// C E G Bb alone: no D string fits; with D it works (derived).
	assert.Empty(t, Exact(set(t, "C E G Bb")))
	assert.NotEmpty(t, Exact(set(t, "C D E G Bb")))
	// A plain C major triad is impossible, players give C 6/9 (orchestration forum,
	// harp mechanics; derived).
	assert.Empty(t, Exact(set(t, "C E G")))
	assert.Equal(t, "D C B# | E Fb G A", Exact(set(t, "C D E G A"))[0].String())
	// A chromatic glissando (question-and-answer thread on it): seven pitches an
	// octave at most.
	assert.Empty(t, Exact(1<<12-1))
	assert.Zero(t, Containing(1<<12-1))
}

// Fifteen major keys on the double-action harp (Encyclopaedia Britannica, 9th ed.,
// vol. 11, p. 490): from seven flats to seven sharps. Down the circle of fifths the
// changes alternate between the feet except A and E (harpists' forum on pedal
// order; derived).
func TestMajorKeys(t *testing.T) {
	keys := Setting{Flat, Flat, Flat, Flat, Flat, Flat, Flat}
	var order []Letter
	for range 2 {
		order = append(order, F, C, G, D, A, E, B)
	}
	major, n := map[PitchSet]bool{}, 0
	for root := range 12 {
		major[chord(root, 0, 2, 4, 5, 7, 9, 11)] = true
	}
	for i := 0; ; i++ {
		require.True(t, major[keys.Pitches()], "%v", keys)
		n++
		if i == len(order) {
			break
		}
		l := order[i]
		keys[l]++
		if i > 0 {
			same := order[i-1].Foot() == l.Foot()
			assert.Equal(t, order[i-1] == A && l == E, same, "%v to %v", order[i-1], l)
		}
	}
	assert.Equal(t, 15, n)
}

// Each form of the minor scale fits one setting in all keys; only mixing the forms needs
// a change: there are more than seven notes then (derived; Grove's Dictionary, early
// 1900s, p. 327, has only the descending form fit).
func TestMinorScales(t *testing.T) {
	for root := range 12 {
		falling := chord(root, 0, 2, 3, 5, 7, 8, 10)
		for _, other := range []PitchSet{chord(root, 0, 2, 3, 5, 7, 8, 11), chord(root, 0, 2, 3, 5, 7, 9, 11)} {
			assert.NotEmpty(t, Exact(falling))
			assert.NotEmpty(t, Exact(other))
			assert.Zero(t, Containing(falling|other))
		}
	}
}

// Two pedals of one foot at one instant: neighbours are possible for some, D with B is
// not without C between (a harpists' forum, citing P. Stickney, American Harp Journal
// 29/4). One left and one right together are normal (Sibelius Academy, Pedaling): see
// the plan's tests.
func TestWhichPedalsLieSideBySide(t *testing.T) {
	var pairs []string
	for i, a := range PedalOrder {
		for _, b := range PedalOrder[i+1:] {
			if Adjacent(a, b) {
				pairs = append(pairs, a.String()+b.String())
			}
		}
	}
	assert.Equal(t, []string{"DC", "CB", "EF", "FG", "GA"}, pairs)
}

// Pedals, from left to right and by foot: Sibelius Academy, Pedal diagrams; handout
// "Writing for the Pedal Harp". All up is C flat major: Encyclopaedia Britannica,
// 11th ed.; Grove's Dictionary, early 1900s, p. 327.
func TestPedals(t *testing.T) {
	var names []string
	for _, l := range PedalOrder {
		names = append(names, l.String()+" "+l.Foot().String())
	}
	assert.Equal(t, []string{"D left", "C left", "B left", "E right", "F right", "G right", "A right"}, names)
	up := Setting{Flat, Flat, Flat, Flat, Flat, Flat, Flat}
	assert.Equal(t, "Db Cb Bb | Eb Fb Gb Ab", up.String())
	assert.Equal(t, chord(11, 0, 2, 4, 5, 7, 9, 11), up.Pitches())
}
