package feet

import (
	"context"
	"math/rand"
	"testing"

	"fourfold/analysis/harp"
)

// spell gives a key's string and alteration, sharps rising and flats falling as
// a writer would.
func spell(key int, sharps bool) Note {
	class := (key%12 + 12) % 12
	for l := C; l <= B; l++ {
		for _, alter := range []int{0, 1, -1} {
			right := alter == 0 || (alter == 1) == sharps
			if right && (semitones[l]+alter+12)%12 == class {
				return Note{String: 7*((key-alter)/12) + int(l), Alter: alter}
			}
		}
	}
	panic("every key has a name")
}

// chromaticPart makes a piece of so many 4/4 bars: quavers that wander by
// semitones, thirds and fourths over a seventh chord each half bar, whose root
// moves by fifths and semitones. The quarter lasts so many seconds.
func chromaticPart(bars int, quarter float64) []Instant {
	r := rand.New(rand.NewSource(9))
	key, root := 60, 36
	var music []Instant
	for i := range 8 * bars {
		move := []int{1, 1, 1, 2, 3, 5}[r.Intn(6)]
		if r.Intn(2) == 0 || key > 80 {
			move = -move
		}
		key = max(52, key+move)
		m := Instant{T: float64(i) * quarter / 2, Notes: []Note{spell(key, move > 0)}}
		if i%4 == 0 {
			root += []int{5, -7, 1, -1, 3}[r.Intn(5)]
			if root < 30 || root > 44 {
				root = 36
			}
			for _, interval := range []int{0, 4, 7, 10} {
				if n := spell(root+interval, false); playsWith(m.Notes, n) {
					m.Notes = append(m.Notes, n)
				}
			}
		}
		music = append(music, m)
	}
	return music
}

// playsWith says whether the note leaves every letter at one position.
func playsWith(notes []Note, n Note) bool {
	for _, other := range notes {
		if other.Letter() == n.Letter() && other.Alter != n.Alter {
			return false
		}
	}
	return true
}

func demandsOf(music []Instant, s Strings) []Demand {
	var demands []Demand
	for _, m := range music {
		for _, n := range m.Notes {
			if s.asks(n) {
				demands = append(demands, Demand{T: m.T, Letter: n.Letter(), Pos: Pos(n.Alter), Rings: harp.Concert().Ring(n.String)})
			}
		}
	}
	return demands
}

func benchmarkSpell(b *testing.B, quarter float64) {
	music := chromaticPart(1000, quarter)
	o := SpellOptions{Initial: AllFree(), Strings: StringsOf(harp.Concert(), music)}
	asWritten, _ := CostAsSpelled(music, o)
	b.ReportMetric(float64(len(music)), "instants")
	var s Spelling
	for b.Loop() {
		s, _ = Spell(context.Background(), music, o)
	}
	proved := 0.0
	if s.Proved {
		proved = 1
	}
	b.ReportMetric(asWritten, "cost-as-written")
	b.ReportMetric(s.Cost, "cost")
	b.ReportMetric(proved, "proved")
}

func BenchmarkSpellThousandBarsSlow(b *testing.B)      { benchmarkSpell(b, 4) }
func BenchmarkSpellThousandBarsQuarter60(b *testing.B) { benchmarkSpell(b, 1) }
func BenchmarkSpellThousandBarsQuarter90(b *testing.B) { benchmarkSpell(b, 60./90) }

func benchmarkSchedule(b *testing.B, music []Instant) {
	demands := demandsOf(music, StringsOf(harp.Concert(), music))
	var late, moves int
	for b.Loop() {
		windows := Windows(demands, AllFree(), 0)
		late, moves = 0, len(windows)
		for _, f := range []Foot{Left, Right} {
			for _, s := range Schedule(OfFoot(windows, f), Steady) {
				if s.Late > 0 {
					late++
				}
			}
		}
	}
	b.ReportMetric(float64(moves), "moves")
	b.ReportMetric(float64(late), "late")
}

func BenchmarkScheduleThousandBarsAsWritten(b *testing.B) {
	benchmarkSchedule(b, chromaticPart(1000, 4))
}

func BenchmarkScheduleThousandBarsHurried(b *testing.B) {
	benchmarkSchedule(b, chromaticPart(1000, 1))
}

func BenchmarkScheduleThousandBarsRespelled(b *testing.B) {
	music := chromaticPart(1000, 1)
	s, _ := Spell(context.Background(), music, SpellOptions{Initial: AllFree(), Strings: StringsOf(harp.Concert(), music)})
	benchmarkSchedule(b, s.Music)
}

func BenchmarkPlanThousandBars(b *testing.B) {
	music := chromaticPart(1000, 1)
	s, _ := Spell(context.Background(), music, SpellOptions{Initial: AllFree(), Strings: StringsOf(harp.Concert(), music)})
	demands := demandsOf(s.Music, StringsOf(harp.Concert(), music))
	for b.Loop() {
		PlanOf(demands, PlanOptions{Initial: AllFree()})
	}
}

// One demand after another gets another position, in the middle of a thousand bars.
func BenchmarkReplanThousandBars(b *testing.B) {
	music := chromaticPart(1000, 1)
	s, _ := Spell(context.Background(), music, SpellOptions{Initial: AllFree(), Strings: StringsOf(harp.Concert(), music)})
	demands := demandsOf(s.Music, StringsOf(harp.Concert(), music))
	p := PlanOf(demands, PlanOptions{Initial: AllFree()})
	at := len(demands) / 2
	for i := 0; b.Loop(); i++ {
		changed := append([]Demand(nil), demands...)
		changed[at+i%50].Pos = (changed[at+i%50].Pos+2)%3 - 1
		p = p.Replan(changed, PlanOptions{Initial: AllFree()})
	}
	b.ReportMetric(float64(len(p.Moves)), "moves")
}

func BenchmarkPlanThousandBarsAsWritten(b *testing.B) {
	music := chromaticPart(1000, 4)
	demands := demandsOf(music, StringsOf(harp.Concert(), music))
	for b.Loop() {
		PlanOf(demands, PlanOptions{Initial: AllFree()})
	}
}
