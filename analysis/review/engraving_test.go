package review

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCleanSVG(t *testing.T) {
	got, err := cleanSVG(`<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="100.0px" height="50.0px" onload="x()">
<style>@import "http://a";</style><script>x()</script><foreignObject><p>p</p></foreignObject>
<defs><path id="hd" class="fill" d="M0 0
h5"/></defs><use x="1" xlink:href="#hd"/><use xlink:href="http://a#b"/>
<a href="http://a"><path d="M1 1"/></a><path d="M2 2" style="background:url(http://a)" onclick="x()"/>
<text x="1" style="font:bold 12px serif">a &lt;b&gt;</text></svg>`, "p-", "notes")
	require.NoError(t, err)
	assert.Equal(t, `<svg class="engraving" viewBox="0 0 100 50" width="100" height="50" role="img" aria-label="notes">`+
		`<defs><path id="p-hd" class="en-fill" d="M0 0 h5"></path></defs><use x="1" href="#p-hd"></use><use></use>`+
		`<path d="M2 2"></path><text x="1" style="font:bold 12px serif">a &lt;b&gt;</text></svg>`, string(got))
}

func TestCleanSVGRefuses(t *testing.T) {
	for _, bad := range []string{"", "no svg", "<svg>", "<p/>", "<svg/><svg/>", "<svg><g></svg>", `<?xml version="1.0" encoding="x"?><svg/>`} {
		_, err := cleanSVG(bad, "p-", "notes")
		assert.Error(t, err, bad)
	}
}

func FuzzCleanSVG(f *testing.F) {
	f.Add(`<svg width="1px"><path d="M0"/></svg>`)
	f.Fuzz(func(t *testing.T, svg string) {
		got, err := cleanSVG(svg, "p-", "notes")
		if err == nil {
			for _, no := range []string{"<script", "javascript:", " on"} {
				if no == " on" {
					assert.NotRegexp(t, `<[^>]* on[a-z]+=`, string(got))
					continue
				}
				assert.NotRegexp(t, `<[^>]*`+no, string(got))
			}
		}
	})
}

// TestExcerpt: the engraver gets notes and the fields that they need, and no
// instruction of the score.
func TestExcerpt(t *testing.T) {
	in := inputOf(t, "X:1\nT:t\n%%abc-include /etc/passwd\nM:3/4\nL:1/8\n%%score {RH LH}\nV:RH clef=treble name=\"Harp\"\nV:LH clef=bass\nK:Eb\n"+
		"V:RH\nG2B2e2 | [I:abc-include /x]e4d2 | [K:F]c2\n%%postscript x\nB2 A2 % note\n| G6 |]\nV:LH\nE,6 | B,,6 | F,6 | C,6 |]\n")
	tune := in.Reading.Score().Tunes[0]
	got := excerpt(in.Text, tune, tune.Voices, 2, 3)
	assert.Equal(t, "X:1\nM:3/4\nL:1/8\n%%score {RH LH}\nK:Eb\nV:RH clef=treble\nL:1/8\nK:Eb\ne4d2 | [K:F]c2 B2 A2 |\nV:LH clef=bass\nL:1/8\nK:Eb\nB,,6 | F,6 |\n", got)
}
