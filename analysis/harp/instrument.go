package harp

import "slices"

// Instrument is one kind of harp. Strings are string numbers, see StringName.
type Instrument struct {
	Name            string // "concert", as settings name it
	Title           string // for reading
	Lowest, Highest int
	// Undisced strings have no mechanism: they are tuned before the piece and stay.
	Undisced []int
	// OftenUndisced have none on many harps of this kind, but not on all.
	OftenUndisced []int
	Pedals        bool // seven pedals, each moving all octaves of its letter
	Levers        bool // a lever a string, moved by a free hand
	// Open is the alteration of each letter, C to B, in semitones, when no pedal is
	// pressed or no lever raised.
	Open   [7]int8
	Origin string
}

// Has says whether the instrument has the string.
func (i Instrument) Has(number int) bool { return i.Lowest <= number && number <= i.Highest }

// Fixed says whether neither pedal nor lever moves the string.
func (i Instrument) Fixed(number int) bool { return slices.Contains(i.Undisced, number) }

// FirstGut is G2, the lowest string that is not wound with wire; makers vary by a
// string or two. Common practice, no source.
const FirstGut = 18

// Ring is how long a plucked string sounds when nothing stops it, in seconds: 3 for
// wire strings, .6 for the instrument's top seven strings, 1.5 between. Common
// practice, no source.
func (i Instrument) Ring(number int) float64 {
	switch {
	case number < FirstGut:
		return 3
	case number > i.Highest-7:
		return .6
	default:
		return 1.5
	}
}

var (
	allFlat = [7]int8{-1, -1, -1, -1, -1, -1, -1}
	eFlat   = [7]int8{0, 0, -1, 0, 0, -1, -1} // E, A and B flat
)

// Instruments are the harps known by name, the default first. Source keys are
// explained at the Origin type.
func Instruments() []Instrument {
	return []Instrument{
		{
			Name: "concert", Title: "concert pedal harp, 47 strings",
			Lowest: 7, Highest: 53, // C1 to G7
			Undisced: []int{7, 8}, OftenUndisced: []int{53},
			Pedals: true, Open: allFlat,
			Origin: "compass: Widor 1923 p. 47, HANDOUT; strings without discs: HANDOUT, SHEET-PED",
		},
		{
			Name: "pedal46", Title: "pedal harp, 46 strings",
			Lowest: 8, Highest: 53, // D1 to G7
			Undisced: []int{8}, OftenUndisced: []int{53},
			Pedals: true, Open: allFlat,
			Origin: "number of strings: Encyclopaedia Britannica, 14th ed.; compass: " + string(CommonPractice),
		},
		{
			Name: "pedal40", Title: "small pedal harp, 40 strings",
			Lowest: 14, Highest: 53, // C2 to G7
			Pedals: true, Open: allFlat,
			Origin: string(CommonPractice) + "; makers vary (some reach about A1 to E7)",
		},
		{
			Name: "lever34", Title: "lever harp, 34 strings",
			Lowest: 14, Highest: 47, // C2 to A6
			Levers: true, Open: eFlat,
			Origin: "lowest string and tuning: ABRSM harp syllabus; highest by count",
		},
		{
			Name: "lever36", Title: "lever harp, 36 strings",
			Lowest: 14, Highest: 49, // C2 to C7
			Levers: true, Open: eFlat,
			Origin: "compass: " + string(CommonPractice) + "; tuning: ABRSM harp syllabus",
		},
		{
			Name: "lever38", Title: "lever harp, 38 strings",
			Lowest: 12, Highest: 49, // A1 to C7
			Levers: true, Open: eFlat,
			Origin: "compass: " + string(CommonPractice) + "; tuning: ABRSM harp syllabus",
		},
	}
}

// Concert is the concert pedal harp, the default.
func Concert() Instrument { return Instruments()[0] }

// InstrumentNamed finds an instrument by its Name.
func InstrumentNamed(name string) (Instrument, bool) {
	for _, i := range Instruments() {
		if i.Name == name {
			return i, true
		}
	}
	return Instrument{}, false
}
