package review

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/analysis"
	"fourfold/analysis/rules"
	"fourfold/parser/syntax"
)

// inputOf reads a text.
func inputOf(t testing.TB, text string) Input {
	t.Helper()
	r, err := analysis.Read(context.Background(), syntax.Parse([]byte(text)), rules.Defaults())
	require.NoError(t, err)
	return Input{Name: "score.abc", Text: []byte(text), Reading: r}
}

func pageOf(t testing.TB, text string, o Options) (Page, string) {
	t.Helper()
	page, err := Make(context.Background(), inputOf(t, text), o)
	require.NoError(t, err)
	return page, string(page.HTML)
}

func demo(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", name+".abc"))
	require.NoError(t, err)
	return string(text)
}

func TestVerdicts(t *testing.T) {
	for name, want := range map[string]string{"ferry-at-dusk": "stuck", "harbour-lights": "fits", "morning-crossing": "fits"} {
		page, html := pageOf(t, demo(t, name), Options{})
		assert.Equal(t, want, page.Summary.Verdict, name)
		assert.Contains(t, html, `<div class="verdict `+want+`">`, name)
		assert.Contains(t, html, "nobody measured a player", name)
	}
	page, html := pageOf(t, "X:1\nT:Fiddle\nV:1 name=\"Violin\"\nK:C\nCDEF|\n", Options{})
	assert.Equal(t, "none", page.Summary.Verdict)
	assert.Contains(t, html, "No harp part was found")
}

// TestLimit: the tempo at the top is that of the tightest place named below it.
func TestLimit(t *testing.T) {
	in := inputOf(t, demo(t, "ferry-at-dusk"))
	least := 0.0
	for _, f := range in.Reading.Findings() {
		if f.Speed != nil && f.Severity <= rules.Warning && (least == 0 || f.Speed.HoldsUpTo < least) {
			least = f.Speed.HoldsUpTo
		}
	}
	page, err := Make(context.Background(), in, Options{})
	require.NoError(t, err)
	require.Positive(t, least)
	assert.LessOrEqual(t, page.Summary.Holds.Quarters, least+1e-9)
	assert.Greater(t, page.Summary.Holds.Quarters, .95*least)
}

// TestNeedsNothingElse: one file, no script, no address to fetch from.
func TestNeedsNothingElse(t *testing.T) {
	_, html := pageOf(t, demo(t, "ferry-at-dusk"), Options{})
	for _, no := range []string{"<script", "http:", "https:", "@import", "url(", "src=", "<iframe", "<object"} {
		assert.NotContains(t, html, no)
	}
}

// TestEveryMarkHasText: what is drawn as a thing of its own says what it is.
func TestEveryMarkHasText(t *testing.T) {
	_, html := pageOf(t, demo(t, "ferry-at-dusk"), Options{})
	marks := regexp.MustCompile(`<g class="[^"]*" role="img">(<title>[^<]+</title>)?`).FindAllStringSubmatch(html, -1)
	require.NotEmpty(t, marks)
	for _, m := range marks {
		assert.NotEmpty(t, m[1], m[0])
	}
	for _, s := range regexp.MustCompile(`<svg [^>]*>`).FindAllString(html, -1) {
		assert.Regexp(t, `aria-label="[^"]+"`, s)
	}
}

// TestPicture: bar 3 of the ferry in figures.
func TestPicture(t *testing.T) {
	_, html := pageOf(t, demo(t, "ferry-at-dusk"), Options{})
	for _, want := range []string{
		">string</text>", ">beat</text>", "time in beats: one beat lasts 0.42 s (♩ = 144)", ">bar 3</text>", ">C5</text>",
		"<title>F4, right hand, fourth finger, bar 3 beat 1</title>",
		"turns back: needs 0.23 s, has 0.21 s",
		"It needs 0.23 s and has 0.21 s.",
		`<del>`, `<ins>`, "Put 6 figures in one direction",
		"FAfc FAfc GBgd GBgd | Acae Acae f8 |",
	} {
		assert.Contains(t, html, want)
	}
}

func TestHostileText(t *testing.T) {
	evil := `<script>alert(1)</script>"'><img src=x onerror=alert(1)>`
	text := strings.ReplaceAll(demo(t, "ferry-at-dusk"), "Ferry at Dusk", evil+"\x00\x1b[31m\xff")
	text = strings.Replace(text, "V:LH\nF,,4", "% fourfold: remark bar 3: "+evil+"\n% fourfold: fine bar 7 "+evil+"\nw: "+evil+"\nV:LH\nF,,4", 1)
	text = strings.Replace(text, `name="Harp"`, `name="Harp `+strings.ReplaceAll(evil, `"`, "")+`"`, 1)
	in := inputOf(t, text)
	in.Name = evil
	in.Engrave = func(context.Context, string) (string, error) {
		return `<svg width="100px" height="50px"><script>alert(1)</script><path d="M0 0" onclick="alert(1)"/></svg>`, nil
	}
	page, err := Make(context.Background(), in, Options{Home: "index.html"})
	require.NoError(t, err)
	html := string(page.HTML)
	for _, no := range []string{"<script", "<img", "onclick", "\x00", "\x1b", "\xff"} {
		assert.NotContains(t, html, no)
	}
	assert.Contains(t, html, "&lt;script&gt;")
	index, err := Index([]Row{{File: evil, Page: "a.html", Summary: page.Summary}}, []Broken{{File: evil, Error: evil}})
	require.NoError(t, err)
	assert.NotContains(t, string(index), "<script")
	assert.NotContains(t, string(index), "<img")
}

// TestCutText: a page is made of whatever a text breaks off in.
func TestCutText(t *testing.T) {
	text := demo(t, "ferry-at-dusk")
	for end := 0; end < len(text); end += 97 {
		_, html := pageOf(t, text[:end], Options{})
		assert.True(t, strings.HasSuffix(strings.TrimSpace(html), "</html>"), "cut at %d", end)
	}
}

func TestSameTwice(t *testing.T) {
	_, a := pageOf(t, demo(t, "ferry-at-dusk"), Options{})
	_, b := pageOf(t, demo(t, "ferry-at-dusk"), Options{})
	assert.Equal(t, a, b)
}

func TestRemarks(t *testing.T) {
	text := strings.Replace(demo(t, "ferry-at-dusk"), "z4 a4 c'4 b2a2 | g4 f2e2 f4 z4",
		"% fourfold: remark bars 3-4 = these ring on\n% fourfold: fine bar 7: both hands take it\nz4 a4 c'4 b2a2 | g4 f2e2 f4 z4", 1)
	text = strings.Replace(text, "K:F\n", "% fourfold: remark a lovely piece\nK:F\n", 1)
	s := newSheet(inputOf(t, text), Options{})
	sec := s.Sections[0]
	require.NotEmpty(t, sec.Remarks)
	assert.Equal(t, "a lovely piece", sec.Remarks[0].Text)
	assert.Equal(t, "On the whole", sec.Remarks[0].Where())
	byBar := map[int][]Remark{}
	for _, pa := range sec.Passages {
		for _, f := range pa.Findings {
			byBar[f.Source.Bar] = append(byBar[f.Source.Bar], f.Remarks...)
			if f.Source.Bar == 7 {
				assert.True(t, f.Fine)
			}
		}
	}
	require.NotEmpty(t, byBar[3])
	assert.Equal(t, "= these ring on", byBar[3][0].Text)
	assert.Empty(t, byBar[9])
	assert.Contains(t, string(sec.Lead.Text), "The harpist calls")
	assert.NotContains(t, string(sec.Lead.Text), ">bar 7<")
}

// TestFine: what the harpist calls fine is no work for the composer, in the verdict
// and in the index.
func TestFine(t *testing.T) {
	text := "X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=60\nV:1 name=\"Harp\"\nK:C\nB,,,,4|C4|\n"
	page, _ := pageOf(t, text, Options{})
	assert.Equal(t, []any{"stuck", 1, 1}, []any{page.Summary.Verdict, page.Summary.Stuck, page.Summary.Strings})
	page, html := pageOf(t, text+"% fourfold: fine bar 1: rolled\n", Options{})
	assert.Equal(t, []any{"fits", 0, 0}, []any{page.Summary.Verdict, page.Summary.Stuck, page.Summary.Strings})
	assert.Contains(t, html, "The harpist calls 1 finding fine.")
	assert.Contains(t, html, "Fine, says the harpist")
}

func TestRemarkWithoutBar(t *testing.T) {
	for _, c := range []struct {
		name, body string
		from, to   int
	}{
		{"below a line", "CDEF|GABc|\nCDEF|GABc|\n% fourfold: remark hm\n", 3, 4},
		{"at the end of a line", "CDEF|GABc| % fourfold: remark hm\nCDEF|\n", 2, 2},
		{"in the header", "", 0, 0},
	} {
		head := "X:1\nT:t\nM:4/4\nL:1/4\n"
		if c.body == "" {
			head += "% fourfold: remark hm\n"
			c.body = "CDEF|\n"
		}
		text := head + "K:C\n" + c.body
		in := inputOf(t, text)
		got := remarksOf(in.Text, in.Reading.Score().Tunes[0])
		require.Len(t, got, 1, c.name)
		assert.Equal(t, []int{c.from, c.to}, []int{got[0].From, got[0].To}, c.name)
	}
}

// TestRemarkWithoutWords: a verdict needs no words, and a remark without any is none.
func TestRemarkWithoutWords(t *testing.T) {
	text := "X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=60\nV:1 name=\"Harp\"\nK:C\nB,,,,4|C4|\n"
	_, html := pageOf(t, text+"% fourfold: remark\n% fourfold: remark bar 1\n% fourfold: fine bar 1\n", Options{})
	assert.NotContains(t, html, "✎ The harpist")
	assert.Contains(t, html, "Fine, says the harpist <span class=\"quiet\">(Bar 1)</span>.</b></p>")
}

func TestLeaveOut(t *testing.T) {
	for text, want := range map[string]LeaveOut{
		"7": {From: 7, To: 7}, "7-9": {From: 7, To: 9}, "hands": {Rule: "hands"}, "hands/tight": {Rule: "hands/tight"},
	} {
		got, err := ParseLeaveOut(text)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	for _, bad := range []string{"", "0", "9-7", "7-x", "hand", "hands/nothing"} {
		_, err := ParseLeaveOut(bad)
		assert.Error(t, err, bad)
	}
	all := newSheet(inputOf(t, demo(t, "ferry-at-dusk")), Options{})
	some := newSheet(inputOf(t, demo(t, "ferry-at-dusk")), Options{LeaveOut: []LeaveOut{{From: 7, To: 7}, {Rule: "notation"}}})
	assert.Empty(t, some.Notation)
	assert.Equal(t, some.LeftOut, countFindings(all)-countFindings(some))
	for _, pa := range some.Sections[0].Passages {
		assert.NotEqual(t, 7, pa.From)
	}
}

func countFindings(s *Sheet) (n int) {
	for _, sec := range s.Sections {
		for _, pa := range sec.Passages {
			n += len(pa.Findings)
		}
	}
	return n + len(s.Notation)
}

func TestByWeight(t *testing.T) {
	s := newSheet(inputOf(t, demo(t, "ferry-at-dusk")), Options{ByWeight: true, Pictures: 2})
	list := s.Sections[0].Passages
	for i := range list[1:] {
		assert.GreaterOrEqual(t, list[i].weight, list[i+1].weight)
	}
	assert.True(t, list[0].Drawn && list[1].Drawn)
	assert.False(t, list[2].Drawn)
	assert.Equal(t, len(list)-2, s.NotDrawn)
}

// longScore repeats two demos: one line in four does not fit.
func longScore(t testing.TB, bars int) string {
	hard, easy := demo(t, "ferry-at-dusk"), "c4 e4 g4 e4 | d4 f4 a4 f4 | e4 g4 c'4 g4 | c8 z8 |\n"
	upper := lineWith(t, hard, "FAfc FAfc")
	lower := "F,,4 C,4 F,4 C,4 | C,4 G,4 F,8 | F,,4 C,4 F,4 C,4 | F,8 z8 |\n"
	var rh, lh strings.Builder
	for n := 0; n < bars; n += 4 {
		if n%16 == 0 {
			rh.WriteString(upper + "\n")
		} else {
			rh.WriteString(easy)
		}
		lh.WriteString(lower)
	}
	return "X:1\nT:Long\nM:4/4\nL:1/16\nQ:1/4=144\n%%score {RH LH}\nV:RH clef=treble name=\"Harp\"\nV:LH clef=bass\nK:F\nV:RH\n" + rh.String() + "V:LH\n" + lh.String()
}

func lineWith(t testing.TB, text, part string) string {
	for _, line := range strings.Split(text, "\n") {
		if strings.Contains(line, part) {
			return line
		}
	}
	require.Fail(t, "no line with "+part)
	return ""
}

func TestLongScoreStaysSmall(t *testing.T) {
	_, html := pageOf(t, longScore(t, 1000), Options{})
	assert.Less(t, len(html), 2_000_000, "a page of 1,000 bars")
	assert.Contains(t, html, "Places listed without a picture")
}

// TestDenseScoreStaysSmall: where every bar is full of notes and needs work, fewer
// passages are drawn, and all keep their words.
func TestDenseScoreStaysSmall(t *testing.T) {
	line := lineWith(t, demo(t, "ferry-at-dusk"), "FAfc FAfc") + "\n"
	low := strings.Repeat("F,,C,F,A, F,C,F,,C, F,,C,F,A, F,C,F,,C,|", 4) + "\n"
	text := "X:1\nT:Dense\nM:4/4\nL:1/16\nQ:1/4=144\n%%score {RH LH}\nV:RH clef=treble name=\"Harp\"\nV:LH clef=bass\nK:F\nV:RH\n" +
		strings.Repeat(line, 125) + "V:LH\n" + strings.Repeat(low, 125)
	in := inputOf(t, text)
	in.Engrave = func(context.Context, string) (string, error) {
		return `<svg width="600px" height="90px">` + strings.Repeat(`<path d="M10 10h500"/>`, 2500) + "</svg>", nil
	}
	page, err := Make(context.Background(), in, Options{})
	require.NoError(t, err)
	html := string(page.HTML)
	assert.Less(t, len(html), 2_000_000)
	drawn := strings.Count(html, `class="scroll engraved"`)
	assert.Positive(t, drawn)
	assert.NotContains(t, html, "Places listed without a picture: 0")
	assert.Less(t, strings.Count(html, `class="ruler"`), strings.Count(html, `data-tempo=`), "a place without a picture has its tempi in words")
	full, err := Make(context.Background(), in, Options{Pictures: DefaultPictures})
	require.NoError(t, err)
	assert.Greater(t, strings.Count(string(full.HTML), `class="scroll engraved"`), drawn, "as many as asked for, whatever the size")
	assert.Equal(t, strings.Count(string(full.HTML), `data-rule=`), strings.Count(html, `data-rule=`))
	assert.Equal(t, strings.Count(string(full.HTML), "A change that was tried"), strings.Count(html, "A change that was tried"))
}

// TestWordsStaySmall: where the words alone are too many, the lightest passages are told
// in a line each; what the harpist has a word for, and the heaviest ones with their
// pictures, stay.
func TestWordsStaySmall(t *testing.T) {
	text := chromatic(600)
	page, html := pageOf(t, text+"% fourfold: fine bar 500: with the left hand\n", Options{})
	assert.Less(t, len(html), 2_000_000)
	_, short, ok := strings.Cut(html, `class="brief">`)
	require.True(t, ok, "some are told in a line")
	assert.Regexp(t, `^[a-z ]+: [0-9]+ × [^<]*\.`, short)
	assert.Contains(t, html, "are told in a line each")
	assert.Contains(t, html, "Fine, says the harpist")
	assert.Contains(t, html, `aria-label="Picture of the strings`)
	assert.Positive(t, page.Summary.Stuck)
}

// chromatic is music with an accidental on every note, which asks too much of all.
func chromatic(bars int) string {
	r := rand.New(rand.NewPCG(1, 2))
	staff := func(letters, octave string) string {
		var b strings.Builder
		for bar := 1; bar <= bars; bar++ {
			for range 8 {
				b.WriteString([]string{"^", "_", "="}[r.IntN(3)] + string(letters[r.IntN(len(letters))]) + octave)
			}
			b.WriteString(map[bool]string{true: "|\n", false: "|"}[bar%4 == 0])
		}
		return b.String()
	}
	return "X:1\nT:Chromatic\nM:4/4\nL:1/8\nQ:1/4=100\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:C\nV:RH\n" +
		staff("CDEFGABcdefgab", "") + "V:LH\n" + staff("CDEFGAB", ",")
}

// BenchmarkReview1000 makes the page of 1,000 bars, read anew each time.
func BenchmarkReview1000(b *testing.B) {
	text := longScore(b, 1000)
	size := 0
	for b.Loop() {
		page, _ := pageOf(b, text, Options{})
		size = len(page.HTML)
	}
	b.ReportMetric(float64(size), "bytes/page")
}

func TestIndexOrder(t *testing.T) {
	var rows []Row
	for _, name := range []string{"harbour-lights", "ferry-at-dusk", "morning-crossing"} {
		page, _ := pageOf(t, demo(t, name), Options{})
		rows = append(rows, Row{File: name + ".abc", Page: name + ".html", Summary: page.Summary})
	}
	html, err := Index(rows, []Broken{{File: "gone.abc", Error: "it cannot be read"}})
	require.NoError(t, err)
	text := string(html)
	assert.Less(t, strings.Index(text, "ferry-at-dusk.html"), strings.Index(text, "harbour-lights.html"))
	assert.Contains(t, text, "gone.abc")
	assert.Contains(t, text, "Of 3 scores, 2 fit as written, 0 ask for a slower tempo or a change, and 1 holds something that no tempo helps.")
}
