package fix

import (
	"sync"

	"fourfold/analysis/rules"
	"fourfold/parser/score"
	"fourfold/parser/syntax"
)

// scene is an excerpt of a text, read by itself, wherever it stands. Several findings may
// share one.
type scene struct {
	text   []byte       // the excerpt
	parsed *syntax.File // the excerpt read
	score  *score.Score
	tune   *score.Tune
	index  int // of the tune in the score
	from   int // of the tune in the score that it was cut from
	set    rules.Settings
	spots  map[*score.Note]noteAt

	mu    sync.Mutex
	spelt map[stretch]change                 // see respelt
	feet  map[rules.Severity][]rules.Finding // see feetFindings

	once  sync.Once
	parts []*rules.Part
	found []rules.Finding
}

// readScene reads an excerpt; false where it is not the music that was cut out.
func readScene(q Question, t *score.Tune, x *excerpt) (*scene, bool) {
	own, _ := q.Settings.ForTune(t)
	sc := &scene{text: x.text, set: own.Trying(), parsed: syntax.Parse(x.text), from: tuneIndex(q.Score, t),
		spelt: map[stretch]change{}, feet: map[rules.Severity][]rules.Finding{}}
	sc.score = score.Build(sc.parsed)
	if sc.index = sc.from; len(sc.score.Tunes) == 1 {
		sc.index = 0
	}
	if sc.index >= len(sc.score.Tunes) {
		return nil, false
	}
	sc.tune = sc.score.Tunes[sc.index].Unpacked()
	if !x.faithful(t, sc.tune) {
		return nil, false
	}
	sc.spots = spotsOf(sc.tune)
	return sc, true
}

// spotsOf names the notes of a short tune.
func spotsOf(t *score.Tune) map[*score.Note]noteAt {
	spots := map[*score.Note]noteAt{}
	for v, voice := range t.Voices {
		for b := range voice.Bars() {
			for e, events := 0, voice.Bars()[b].Events(); e < len(events); e++ {
				for n := range events[e].Notes {
					spots[&events[e].Notes[n]] = noteAt{v, b, e, n}
				}
			}
		}
	}
	return spots
}

// findings are all that is found there as it is written.
func (sc *scene) findings() ([]*rules.Part, []rules.Finding) {
	sc.once.Do(func() { sc.parts, sc.found = rules.RunAsWritten(sc.text, sc.tune, sc.set) })
	return sc.parts, sc.found
}

// feetFindings are what the rules of the feet and the strings find that are as severe as a
// limit, by the table.
func (sc *scene) feetFindings(limit rules.Severity) []rules.Finding {
	sc.mu.Lock()
	defer sc.mu.Unlock()
	found, ok := sc.feet[limit]
	if !ok {
		found = rules.RunFeet(sc.text, sc.tune, sc.set, func(rule string) bool { return isAsSevere(rule, limit) })
		sc.feet[limit] = found
	}
	return found
}

func isAsSevere(rule string, limit rules.Severity) bool {
	severity, _ := rules.DefaultSeverity(rule)
	return severity != rules.Off && severity <= limit
}
