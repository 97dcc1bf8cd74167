package score

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fourfold/parser/syntax"
)

const namedText = `%abc-2.1
U:W=!trill!
m:~n3=n{o}n{m}n

X:1
P:AB2A
U:T=!turn!
m:xx=cde
%%score {RH (LH LX)}
%%fourfold harp RH LH+LX
V:RH name=Harp
V:LH
V:LX
K:C
P:A
V:RH
TC ~D3 xx WF|
P:B
[V:LH] C4|[V:LX] "Txx" C,4|

X:2
P:A
V:RH
K:C
WC ~d'3 TG|
`

// namePlaces gives what a name's places look like, in the order of the text.
func namePlaces(t *testing.T, text string, kind NameKind, name string, scope int) (out []string) {
	for _, n := range Names(syntax.Parse([]byte(text))) {
		if n.Kind != kind || n.Text != name || n.Scope != scope {
			continue
		}
		start := strings.LastIndexByte(text[:n.Span.Start], '\n') + 1
		mark := "use "
		if n.Defines {
			mark = "def "
		}
		line, _, _ := strings.Cut(text[start:], "\n")
		require.LessOrEqual(t, n.Span.End, start+len(line))
		out = append(out, mark+text[n.Span.Start:n.Span.End]+" in "+line)
	}
	return out
}

func TestNames(t *testing.T) {
	text := namedText
	assert.Equal(t, []string{"use RH in %%score {RH (LH LX)}", "use RH in %%fourfold harp RH LH+LX", "def RH in V:RH name=Harp", "use RH in V:RH"},
		namePlaces(t, text, VoiceName, "RH", 0))
	assert.Equal(t, []string{"def RH in V:RH"}, namePlaces(t, text, VoiceName, "RH", 1), "another tune's voice is another")
	assert.Equal(t, []string{"use LX in %%score {RH (LH LX)}", "use LX in %%fourfold harp RH LH+LX", "def LX in V:LX", `use LX in [V:LH] C4|[V:LX] "Txx" C,4|`},
		namePlaces(t, text, VoiceName, "LX", 0))
	assert.Equal(t, []string{"use A in P:AB2A", "use A in P:AB2A", "def A in P:A"}, namePlaces(t, text, PartName, "A", 0))
	assert.Equal(t, []string{"def xx in m:xx=cde", "use xx in TC ~D3 xx WF|"}, namePlaces(t, text, MacroName, "xx", 0))
	assert.Equal(t, []string{"def ~n3 in m:~n3=n{o}n{m}n", "use ~D3 in TC ~D3 xx WF|", "use ~d'3 in WC ~d'3 TG|"}, namePlaces(t, text, MacroName, "~n3", -1))
	assert.Equal(t, []string{"def T in U:T=!turn!", "use T in TC ~D3 xx WF|"}, namePlaces(t, text, SymbolName, "T", 0))
	assert.Equal(t, []string{"use T in WC ~d'3 TG|"}, namePlaces(t, text, SymbolName, "T", 1))
	assert.Equal(t, []string{"def W in U:W=!trill!", "use W in TC ~D3 xx WF|", "use W in WC ~d'3 TG|"}, namePlaces(t, text, SymbolName, "W", -1))
}

func TestRenamed(t *testing.T) {
	moving := Name{Kind: MacroName, Text: "~n3", Moving: true, Before: 1, After: 1}
	for _, c := range []struct {
		name     Name
		old, new string
		want     string
		ok       bool
	}{
		{Name{Kind: VoiceName}, "RH", "Right", "Right", true},
		{moving, "~d'3", "trill", "", false},
		{moving, "~d'3", "wn2", "wd'2", true},
		{Name{Kind: MacroName, Moving: true, Defines: true}, "~n3", "wn2", "wn2", true},
		{Name{Kind: MacroName}, "xx", "yy", "yy", true},
		{Name{Kind: MacroName}, "xx", "~n", "", false},
	} {
		got, ok := c.name.Renamed(c.old, c.new)
		assert.Equal(t, c.ok, ok, c)
		assert.Equal(t, c.want, got, c)
	}
}

func FuzzNames(f *testing.F) {
	f.Add(namedText)
	f.Fuzz(func(t *testing.T, text string) {
		for _, n := range Names(syntax.Parse([]byte(text))) {
			if n.Span.Start < 0 || n.Span.End > len(text) || n.Span.Start >= n.Span.End {
				t.Fatalf("%+v lies outside the text", n)
			}
			if n.Kind != MacroName && text[n.Span.Start:n.Span.End] != n.Text {
				t.Fatalf("%+v marks %q", n, text[n.Span.Start:n.Span.End])
			}
		}
	})
}
