package review

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hostile are texts that try to leave the place that they are put in.
var hostile = []string{
	`<script>alert(1)</script>`,
	`"><img src=x onerror=alert(1)>`,
	`' onmouseover='alert(1)`,
	`]]><script>alert(1)</script><![CDATA[`,
	`--><script>alert(1)</script><!--`,
	`</title></style></textarea></svg><script>alert(1)</script>`,
	`</style><style>@import url(http://a/)</style>`,
	`<svg/onload=alert(1)>`,
	`&lt;script&gt;&#60;script&#62;`,
	`javascript:alert(1)`,
	`{{.}}{{template "x"}}<%= 1 %>${1}`,
	"\u202egnp.exe\u202c \u2066\u2067\u2069 \u200f\u200e",
	"\x00\x01\x1b[31m\x7f\u0085\u2028\u2029\ufeff\ufffe",
	"\xff\xfe\xc0\xbc\xed\xa0\x80",
	`\" \u003cscript\u003e`,
	strings.Repeat("<b>", 500),
}

// small is a score with something to find in its first bar.
const small = "X:1\nT:Ferry at Dusk\nM:4/4\nL:1/16\nQ:1/4=144\n%%score {RH LH}\nV:RH name=\"Harp\"\nV:LH clef=bass\nK:F\n" +
	"V:RH\nFAfc FAfc GBgd GBgd | f8 z8 |\nV:LH\nF,16 | z16 |\n"

// places put a text into a score wherever a page may show it. They hold to one line.
var places = map[string]func(score, evil string) string{
	"title": func(s, e string) string { return strings.Replace(s, "T:Ferry at Dusk", "T:"+e, 1) },
	"composer": func(s, e string) string {
		return strings.Replace(s, "T:Ferry at Dusk", "T:Ferry at Dusk\nC:"+e+"\nO:"+e+"\nN:"+e+"\nR:"+e, 1)
	},
	"number": func(s, e string) string { return strings.Replace(s, "X:1", "X:1 "+e, 1) },
	"tempo":  func(s, e string) string { return strings.Replace(s, "Q:1/4=144", "Q:\""+e+"\" 1/4=144", 1) },
	"player": func(s, e string) string {
		return strings.Replace(s, `name="Harp"`, `name="Harp `+strings.ReplaceAll(e, `"`, "'")+`"`, 1)
	},
	"voice": func(s, e string) string {
		return strings.ReplaceAll(s, "RH", strings.Map(func(r rune) rune {
			if strings.ContainsRune(" ()[]{}|%", r) {
				return '_'
			}
			return r
		}, e))
	},
	"lyrics": func(s, e string) string { return strings.Replace(s, "V:LH\n", "w: "+e+"\nV:LH\n", 1) },
	"annotation": func(s, e string) string {
		return strings.Replace(s, "FAfc", `"^`+strings.ReplaceAll(e, `"`, "'")+`"FAfc`, 1)
	},
	"remark": func(s, e string) string {
		return strings.Replace(s, "V:LH\n", "% fourfold: remark bar 3: "+e+"\n% fourfold: fine bar 7 "+e+"\n% fourfold: allow hands/turn — "+e+"\nV:LH\n", 1)
	},
	"setting":  func(s, e string) string { return strings.Replace(s, "K:", "%%fourfold "+e+"\nK:", 1) },
	"notation": func(s, e string) string { return strings.Replace(s, "FAfc", "FAfc "+e+" ", 1) },
	"part": func(s, e string) string {
		return strings.Replace(s, "FAfc", "[P:"+strings.ReplaceAll(e, "]", ")")+"]FAfc", 1)
	},
}

// shape are the elements and attributes of a page.
func shape(t *testing.T, page string) map[string]bool {
	t.Helper()
	found := map[string]bool{}
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return found
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			found["<"+token.Name.Local] = true
			for _, a := range token.Attr {
				found[a.Name.Local+"="] = true
				if strings.Contains(a.Value, ":") && (a.Name.Local == "href" || a.Name.Local == "src") {
					found["the address "+a.Value] = true
				}
			}
		case xml.Comment, xml.ProcInst:
			found["a comment"] = true
		}
	}
}

// TestHostileTextStaysText: whatever stands anywhere in a score, the page has no
// element and no attribute that it has not without it, fetches nothing, and holds no
// sign that turns the direction of a line or drives a terminal.
func TestHostileTextStaysText(t *testing.T) {
	allowed := map[string]bool{}
	for _, harmless := range []string{"words", "&", "FAfc [FAc]"} {
		for _, put := range places {
			_, page := pageOf(t, put(small, harmless), Options{Home: "index.html"})
			for name := range shape(t, page) {
				allowed[name] = true
			}
		}
	}
	for place, put := range places {
		t.Run(place, func(t *testing.T) {
			for _, evil := range hostile {
				text := put(small, evil)
				require.NotEqual(t, small, text)
				in := inputOf(t, text)
				in.Name = evil
				made, err := Make(context.Background(), in, Options{Home: "index.html"})
				require.NoError(t, err)
				page := string(made.HTML)
				for name := range shape(t, page) {
					assert.True(t, allowed[name], "%q in %s makes %s", evil, place, name)
				}
				for _, r := range page {
					bad := r < ' ' && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
					require.False(t, bad, "%q in %s leaves %U", evil, place, r)
				}
			}
		})
	}
}
