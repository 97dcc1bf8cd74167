package settings_test

import (
	"errors"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xeipuuv/gojsonschema"

	"fourfold/analysis/harp"
	"fourfold/analysis/rules"
	"fourfold/analysis/settings"
)

// told are the problems in short.
func told(problems []settings.Problem) (out []string) {
	for _, p := range problems {
		out = append(out, p.String())
	}
	return out
}

func TestFromJSON(t *testing.T) {
	for _, c := range []struct {
		text  string
		want  func(*rules.Settings)
		wrong []string
	}{
		{`{}`, func(*rules.Settings) {}, nil},
		{`{"tempo":60,"defaultTempo":72.5}`, func(s *rules.Settings) { s.Tempo, s.DefaultTempo = 60, 72.5 }, nil},
		{`{"tempo":null,"hand":"small","severity":null,"set":{"cycle":null}}`, func(s *rules.Settings) { s.Hand = harp.Small() }, nil},
		{`{"severity":{"hands/turn":"hint","feet":"off"}}`, func(s *rules.Settings) {
			s.Severity = map[string]rules.Severity{"hands/turn": rules.Hint, "feet": rules.Off}
		}, nil},
		{`{"tempo":"fast","colour":1,"hand":"huge"}`, func(*rules.Settings) {}, []string{
			"colour: there is no setting `colour`.", "hand: it must be one of: standard, small.", "tempo: it must be a number from 1 to 1000."}},
		{`{"severity":"off","set":3}`, func(*rules.Settings) {}, []string{
			"set: `set` holds other settings: names stand under it, each with its value.",
			"severity: `severity` holds other settings: names stand under it, each with its value."}},
		{`{"undisced":["C1",2]}`, func(*rules.Settings) {}, []string{"undisced: it must be names of strings, as in C1,D1; or none."}},
		{`{"hand":{"name":"small"}}`, func(*rules.Settings) {}, []string{"hand: it must be one of: standard, small."}},
		{`[]`, func(*rules.Settings) {}, []string{"the settings must be one JSON object: json: cannot unmarshal array into Go value of type map[string]interface {}."}},
		{`{} {}`, func(*rules.Settings) {}, []string{"the settings must be one JSON object: more text follows the object."}},
	} {
		t.Run(c.text, func(t *testing.T) {
			apply, problems := settings.FromJSON([]byte(c.text))
			want, got := rules.Defaults(), rules.Defaults()
			c.want(&want)
			apply(&got)
			assert.Equal(t, want, got)
			assert.ElementsMatch(t, c.wrong, told(problems))
		})
	}
}

const folderFile = `# The harp in the hall.
hand = "small"
instrument = "lever36"
lowest = "D2"
undisced = []
tuning = ["Bb", "Eb"]
defaultTempo = 72

[severity]
"hands/tight" = "off"
feet = "hint"

[set]
cycle = 0.25
"cycle.step" = 0.005
span.1-4.most = 8
`

func TestFromTOML(t *testing.T) {
	apply, problems := settings.FromTOML([]byte(folderFile))
	assert.Empty(t, problems)
	set := rules.Defaults()
	apply(&set)
	assert.Equal(t, "small", set.Hand.Name)
	assert.Equal(t, .25, set.Hand.Cycle)
	assert.Equal(t, .005, set.Hand.CyclePerStep)
	assert.Equal(t, 8, set.Hand.Spans[1][4].Most)
	assert.Equal(t, "lever harp, 35 strings", set.Instrument.Title)
	assert.Equal(t, [7]int8{0, 0, -1, 0, 0, 0, -1}, set.Instrument.Open)
	assert.Equal(t, 72., set.DefaultTempo)
	assert.Equal(t, map[string]rules.Severity{"hands/tight": rules.Off, "feet": rules.Hint}, set.Severity)
}

func TestWrongTOML(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []settings.Problem
	}{
		{"a wrong value", "\nhand = 'tiny'\n", []settings.Problem{{"hand", 2, 1, "it must be one of: standard, small."}}},
		{"a wrong key", "tempo = 60\n  hnd = 'small'", []settings.Problem{{"hnd", 2, 3, "there is no setting `hnd`; did you mean `hand`?"}}},
		{"in a table", "[set]\n# a note\ncycle = -1\n\"roll\" = true\n", []settings.Problem{
			{"set.cycle", 3, 1, "it must be a number from 0 to 60."}, {"set.roll", 4, 1, "it must be a number from 0 to 60."}}},
		{"in a table in a line", "set = {cycle = 1, rol = 2}\n", []settings.Problem{{"set.rol", 1, 19, "there is no number `rol`; did you mean `roll`?"}}},
		{"a dotted key", "severity.feet = 'loud'\n", []settings.Problem{{"severity.feet", 1, 10, "it must be one of: off, error, warning, information, hint."}}},
		{"a table that is none", "[hands]\nx = 1\n", []settings.Problem{{"hands", 1, 2, "`hands` names rules: it belongs under `severity`."}}},
		{"tables in a list", "[[set]]\ncycle = 1\n", []settings.Problem{{"set", 1, 3, "`set` holds other settings: names stand under it, each with its value."}}},
		{"a date", "hand = 1979-05-27\n", []settings.Problem{{"hand", 1, 1, "it must be one of: standard, small."}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			apply, problems := settings.FromTOML([]byte(c.text))
			assert.Equal(t, c.want, problems)
			set := rules.Defaults()
			apply(&set)
			assert.Equal(t, rules.Defaults().Hand.Name, set.Hand.Name)
		})
	}
}

func TestBrokenTOML(t *testing.T) {
	for _, text := range []string{"hand = \n", "a = 1\na = 2\n", "\x00", "[set\n", "x = 'é\xff'"} {
		apply, problems := settings.FromTOML([]byte(text))
		require.Len(t, problems, 1, text)
		assert.Positive(t, problems[0].Line)
		assert.Contains(t, problems[0].Message, "The whole file has no effect")
		set := rules.Defaults()
		apply(&set)
		assert.Equal(t, rules.Defaults(), set)
	}
}

// The layers lie on each other setting by setting: a hand named further up keeps
// the numbers that are set further down.
func TestLayers(t *testing.T) {
	editor, _ := settings.FromJSON([]byte(`{"hand":"small","tempo":50,"set":{"cycle":0.3}}`))
	folder, _ := settings.FromTOML([]byte("hand = 'standard'\nset.roll = 0.1\n"))
	set := rules.Defaults()
	editor(&set)
	folder(&set)
	assert.Equal(t, "standard", set.Hand.Name)
	assert.Equal(t, []float64{.3, .1, 50}, []float64{set.Hand.Cycle, set.Hand.Roll, set.Tempo})
}

func TestFind(t *testing.T) {
	root := t.TempDir()
	deep := filepath.Join(root, "a", "b")
	require.NoError(t, os.MkdirAll(deep, 0o700))
	_, text, err := settings.Find(deep, func(string) ([]byte, error) { return nil, fs.ErrNotExist })
	assert.NoError(t, err)
	assert.Nil(t, text)
	file := filepath.Join(root, "a", settings.FileName)
	require.NoError(t, os.WriteFile(file, []byte("tempo = 60"), 0o600))
	path, text, err := settings.Find(deep, os.ReadFile)
	assert.NoError(t, err)
	assert.Equal(t, file, path)
	assert.Equal(t, "tempo = 60", string(text))
	refused := errors.New("refused")
	path, _, err = settings.Find(deep, func(string) ([]byte, error) { return nil, refused })
	assert.Equal(t, refused, err)
	assert.Equal(t, filepath.Join(deep, settings.FileName), path)
}

var update = flag.Bool("update", false, "write the schema anew")

// The schema that editors use is the one that the table of settings makes:
// go test ./analysis/settings -update writes it.
func TestSchemaIsFresh(t *testing.T) {
	const file = "../../editors/settings.schema.json"
	if *update {
		require.NoError(t, os.WriteFile(file, settings.Schema(), 0o644))
	}
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(settings.Schema()), string(text))
}

// The schema accepts what is read without a problem, and nothing else.
func TestSchemaAgrees(t *testing.T) {
	schema, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(settings.Schema()))
	require.NoError(t, err)
	for text, right := range map[string]bool{
		`{}`: true,
		`{"hand":"small","instrument":"lever34","lowest":"C2","highest":"A6","undisced":["C1"],"tuning":[],"tempo":60,"defaultTempo":null}`: true,
		`{"severity":{"hands":"off","hands/turn":"hint","notation/tie":"error"},"set":{"cycle":0.2,"span.1-4.most":8}}`:                     true,
		`{"hand":"tiny"}`:                   false,
		`{"tempo":0}`:                       false,
		`{"tempo":"60"}`:                    false,
		`{"colour":1}`:                      false,
		`{"severity":{"hands/none":"off"}}`: false,
		`{"severity":{"hands":"loud"}}`:     false,
		`{"set":{"span.1-4.most":8.5}}`:     false,
		`{"set":{"cycle":-1}}`:              false,
		`{"undisced":"C1"}`:                 false,
	} {
		result, err := schema.Validate(gojsonschema.NewStringLoader(text))
		require.NoError(t, err)
		assert.Equal(t, right, result.Valid(), text)
		_, problems := settings.FromJSON([]byte(text))
		assert.Equal(t, right, len(problems) == 0, "%s: %v", text, problems)
	}
}
