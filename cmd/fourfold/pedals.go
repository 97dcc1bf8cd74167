package main

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"fourfold/analysis/feet"
)

const pedalsUsage = `usage: fourfold pedals [--format text|json] FILE
       fourfold pedals --mark|--respell|--flat [--write] FILE
       fourfold pedals --set 'B D F Ab'
       fourfold pedals --demands FILE
       fourfold pedals --instants FILE

With a score, prints the pedal plan bar by bar: the setting before the piece and
every move with its bar and beat, foot and pedal, the time it may take place in and
the time it is given, in seconds from the start of the piece as written; which
strings sound in a glissando; and what the feet do on the way back to a repeat and
into later endings. For a lever harp: which levers are up before the piece, which
are moved when and by which hand, and which notes the tuning does not reach.

--mark writes the plan into the score: the setting at the start, at rehearsal marks,
after long rests and before each glissando, each change just before it is needed.
--respell writes each part as the feet like it best, --flat moves parts in five to
seven sharps to the flat keys that sound the same. Sounds stay as they are. The
change is printed as a unified diff; with --write it is written into the file.

--set says which of the 2187 settings of the pedals sound these pitches and
nothing else ("exact", for a glissando; D C B | E F G A with b and #), how many
sound all of them whatever else they sound ("containing"), and the fewest of them
that no setting has together ("clash"). Enharmonics are the same pitch.

--demands plans the feet for strokes given as JSON; FILE (- is standard input)
holds
  {"start":0,"initial":{"C":0},"demands":[{"t":0.5,"letter":4,"pos":1}, …]}
t and start are seconds, letters are C=0 to B=6, positions -1 flat, 0 natural,
1 sharp; a letter that is not in "initial" is set before its first stroke. For
each foot: by how many seconds it is late at best ("late"), by which factor the
music must be slower for it to be in time ("stretch", null where no tempo helps),
and each move with the time it may take place in (windowStart, windowEnd) and the
time it is given (at, end). "clash" is a letter at two positions in one instant.
Each foot keeps to its own pedals here; in a score it may cross over the middle.

--instants finds the spelling with which the feet have least to do:
  {"start":0,"initial":{…},"instants":[{"t":0,"notes":[{"string":39,"acc":0}]}]}
Strings are 7·octave + letter, middle C is 28, on the concert harp (7 to 53; C1
and D1 are tuned as first written); acc is -2 to 2; a note with "harmonic":true
stays as it is. "cost" counts 1 for a move, 1.5 for one over two notches, 100 for
each quarter of a second of lateness, 0.05 for a respelled note; it is null where
an instant has no spelling ("impossible" says which, from 0). "proved":false is
there when a cheaper spelling is not ruled out.

Where nothing else is said, start is 0.
`

// runPedals is fourfold pedals. It gives the exit code: 0, or 2 for a wrong call or
// an input that cannot be read.
func runPedals(args []string, stdout, stderr io.Writer) int {
	flags := newFlags("pedals", pedalsUsage, stderr)
	format := flags.String("format", "text", "text or json, for a score")
	set := flags.String("set", "", "pitches to find settings for")
	demands := flags.String("demands", "", "read demands as JSON from this file")
	instants := flags.String("instants", "", "read instants as JSON from this file")
	actions := map[string]*bool{
		"pedals/marks":      flags.Bool("mark", false, "write the plan into the score"),
		"pedals/spell-tune": flags.Bool("respell", false, "spell the score for the feet"),
		"pedals/flat-tune":  flags.Bool("flat", false, "move sharp keys to the flat side"),
	}
	write := flags.Bool("write", false, "with --mark, --respell or --flat: write the change into the file")
	files, code, ok := parseFlags(flags, args, stdout)
	if !ok {
		return code
	}
	questions := map[string]func() (any, error){
		"set":      func() (any, error) { return settingsSounding(*set) },
		"demands":  func() (any, error) { return planOfDemands(*demands) },
		"instants": func() (any, error) { return spellingOfInstants(*instants) },
	}
	var answer func() (any, error)
	asked := 0
	for name, question := range questions {
		if isSet(flags, name) {
			answer = question
			asked++
		}
	}
	action := ""
	for name, chosen := range actions {
		if *chosen {
			action = name
			asked++
		}
	}
	switch {
	case *format != "text" && *format != "json":
		return wrongUsage(stderr, "pedals", fmt.Sprintf("--format %s is not known: use text or json", *format))
	case asked == 0 && len(files) == 1 && !*write:
		return runPedalsScore(files[0], *format, stdout, stderr)
	case *write && action == "":
		return wrongUsage(stderr, "pedals", "--write goes with --mark, --respell or --flat")
	case action != "" && asked == 1 && len(files) == 1:
		return runPedalsAction(files[0], action, *write, stdout, stderr)
	case asked != 1 || action != "" || len(files) > 0:
		return wrongUsage(stderr, "pedals", "give one score, with one of --mark, --respell and --flat or without; or one of --set, --demands and --instants alone")
	}
	out, err := answer()
	if err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: %v\n", err)
		return 2
	}
	if err := json.NewEncoder(stdout).Encode(out); err != nil {
		fmt.Fprintf(stderr, "fourfold pedals: cannot write the result: %v\n", err)
		return 2
	}
	return 0
}

// settingsOutput is what --set prints.
type settingsOutput struct {
	Exact      []string `json:"exact"`
	Containing int      `json:"containing"`
	Clash      []string `json:"clash"`
}

func settingsSounding(text string) (any, error) {
	pitches, err := feet.ParsePitches(text)
	if err != nil {
		return nil, fmt.Errorf("--set: %w", err)
	}
	set := feet.SetOf(pitches)
	out := settingsOutput{Exact: []string{}, Containing: feet.Containing(set), Clash: []string{}}
	for _, s := range feet.Exact(set) {
		out.Exact = append(out.Exact, s.String())
	}
	for _, p := range feet.Impossible(pitches) {
		out.Clash = append(out.Clash, p.Name)
	}
	return out, nil
}

// initialSetting reads "initial": letters by name, positions as numbers.
func initialSetting(in map[string]int) (feet.Setting, error) {
	s := feet.AllFree()
	for _, name := range slices.Sorted(maps.Keys(in)) {
		pos := in[name]
		l := strings.Index("CDEFGAB", name)
		if len(name) != 1 || l < 0 {
			return s, fmt.Errorf(`"initial" has the letter %q; letters are "C" to "B", capitals`, name)
		}
		if !feet.Pos(pos).Valid() || pos != int(feet.Pos(pos)) {
			return s, fmt.Errorf(`"initial" has %s at %d; positions are -1 (flat), 0 (natural) and 1 (sharp)`, name, pos)
		}
		s[l] = feet.Pos(pos)
	}
	return s, nil
}

// mostSeconds bounds the times that are taken for real: eleven days.
const mostSeconds = 1e6

// checkTime says what is wrong with a time that the input gives; where names it.
func checkTime(where string, t *float64) error {
	if t == nil {
		return fmt.Errorf(`%s has no time: give "t" in seconds`, where)
	}
	if *t < -mostSeconds || *t > mostSeconds {
		return fmt.Errorf("%s: %g s is no time in a piece; times are seconds within a million", where, *t)
	}
	return nil
}
