package hands

import (
	"regexp"
	"sort"
	"strings"

	"fourfold/analysis/harp"
	"fourfold/parser/score"
)

// Marks over notes that say which hand takes them: R.H. and L.H., m.d. (main
// droite, mano destra), m.g. (main gauche) and m.s. (mano sinistra). Source of
// m.d. and m.g.: Philharmonia Orchestra, instrument guide: Harp; the others:
// common practice, no source.
var (
	rightMark = regexp.MustCompile(`(?i)^(r\. ?h\.?|rh|m\. ?d\.?|right hand)$`)
	leftMark  = regexp.MustCompile(`(?i)^(l\. ?h\.?|lh|m\. ?[gs]\.?|left hand)$`)
)

// handMark reads the hand off an event's annotations.
func handMark(ev *score.Event) (Side, bool) {
	for _, m := range ev.Marks {
		if m.Kind != score.Annotation {
			continue
		}
		switch text := strings.TrimSpace(m.Text); {
		case rightMark.MatchString(text):
			return Right, true
		case leftMark.MatchString(text):
			return Left, true
		}
	}
	return 0, false
}

// GlissandoStarts says whether a glissando with a written end begins on the event,
// GlissandoEnds whether one ends there: the note that it lands on.
func GlissandoStarts(ev *score.Event) bool { return HasMark(ev, "glissando(") || HasMark(ev, "~(") }

// GlissandoEnds is the counterpart of GlissandoStarts.
func GlissandoEnds(ev *score.Event) bool { return HasMark(ev, "glissando)") || HasMark(ev, "~)") }

// Words over notes that say how they sound. Source of étouffé: a players' information
// sheet on muffling; of l.v.: Philharmonia Orchestra, instrument guide: Harp; near the
// soundboard: common practice, no source.
var (
	muffledWords    = regexp.MustCompile(`(?i)(étouff|etouff|\bmuffled)`)
	letRingWords    = regexp.MustCompile(`(?i)(^l\. ?v\.?$|^lv$|laisse[zr]? vibrer|let ring|lasciar vibrare)`)
	soundboardWords = regexp.MustCompile(`(?i)(^p\. ?d\. ?l\. ?t\.?$|^pdlt$|pr[eè]s de la table|near the soundboard|presso la tavola|sulla tavola)`)
)

// Muffled says whether an event's notes are stopped at once. Dots alone do not stop
// them.
func Muffled(ev *score.Event) bool { return HasWords(ev, muffledWords) }

// LetRing says whether an event's notes are to ring on beyond their written length.
func LetRing(ev *score.Event) bool {
	return HasMark(ev, "l.v.") || HasMark(ev, "lv") || HasWords(ev, letRingWords)
}

// NearSoundboard says whether an event is plucked near the soundboard.
func NearSoundboard(ev *score.Event) bool { return HasWords(ev, soundboardWords) }

// HasMark says whether a decoration of that name stands over the event.
func HasMark(ev *score.Event, name string) bool {
	for _, m := range ev.Marks {
		if m.Kind == score.Decoration && strings.EqualFold(m.Text, name) {
			return true
		}
	}
	return false
}

// HasWords says whether an annotation over the event matches.
func HasWords(ev *score.Event, pattern *regexp.Regexp) bool {
	for _, m := range ev.Marks {
		if m.Kind == score.Annotation && pattern.MatchString(m.Text) {
			return true
		}
	}
	return false
}

// pause is time that the score does not count, after an event.
type pause struct {
	bar    int
	onset  score.Frac // where the event ends, of its bar
	length float64
}

// before says whether the instant comes before the pause.
func (in instant) before(p pause) bool {
	return in.bar < p.bar || in.bar == p.bar && in.onset.Less(p.onset)
}

// pausesIn lists the pauses in order; of several at one place the longest counts.
func pausesIn(voices []*score.Voice, hand harp.Hand) (out []pause) {
	for _, v := range voices {
		bars := v.Bars()
		for b := range bars {
			events := bars[b].Events()
			for e := range events {
				ev := &events[e]
				if len(ev.Marks) == 0 {
					continue
				}
				if n := pauseOf(ev, hand); n > 0 && ev.Onset.Add(ev.Duration).Valid() {
					out = append(out, pause{v.Number(b), ev.Onset.Add(ev.Duration), n})
				}
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.bar != b.bar {
			return a.bar < b.bar
		}
		if c := a.onset.Cmp(b.onset); c != 0 {
			return c < 0
		}
		return a.length > b.length
	})
	kept := out[:0]
	for _, p := range out {
		if n := len(kept) - 1; n < 0 || kept[n].bar != p.bar || kept[n].onset != p.onset {
			kept = append(kept, p)
		}
	}
	return kept
}

func pauseOf(ev *score.Event, hand harp.Hand) float64 {
	switch {
	case HasMark(ev, "fermata"), HasMark(ev, "invertedfermata"):
		return hand.Fermata
	case HasMark(ev, "breath"):
		return hand.Breath
	}
	return 0
}
