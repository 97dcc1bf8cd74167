package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"slices"

	"fourfold/analysis/hands"
	"fourfold/analysis/harp"
)

const handsUsage = `usage: fourfold hands [--format text|json] FILE
       fourfold hands --strokes FILE

The first prints how the hands take a score. The second prints the cheapest
fingering of strokes given as JSON; FILE (- is standard input) holds one object,
for one hand
  {"hand":"standard","strokes":[{"t":0.0,"strings":[28,30]}, …]}
or for two, with a stave for each hand or one stave with no hand:
  {"hand":"standard","staves":[{"hand":"R","strokes":[…]},{"hand":"L","strokes":[…]}]}
hand is standard (when absent) or small; t is in seconds; strings are string
numbers, 7·octave + letter with C = 0, so that 28 is middle C. Strokes are taken
in the order of their times, those within 1e-9 s of each other as one; "from" and
"to" count them so, from 0. Of a stroke of more than four strings only the top four
count, for everything: "fingers" lists these. A stroke may have "printed" beside
"strings", a finger from 1 to 4 for each, or 0 for none: it is taken where the hand
can. For two hands, "lowerBound" is there when a cheaper
way than the one printed is not ruled out: none is below it, and "gap" is the rest.
`

// runHands is fourfold hands. It gives the exit code: 0, or 2 for a wrong call or an
// input that cannot be read.
func runHands(args []string, stdout, stderr io.Writer) int {
	flags := newFlags("hands", handsUsage, stderr)
	strokes := flags.String("strokes", "", "read strokes as JSON from this file")
	format := flags.String("format", "text", "text or json")
	files, code, ok := parseFlags(flags, args, stdout)
	if !ok {
		return code
	}
	switch {
	case *format != "text" && *format != "json":
		return wrongUsage(stderr, "hands", fmt.Sprintf("--format %s is not known: use text or json", *format))
	case *strokes == "" && len(files) == 1:
		return runHandsScore(files[0], *format, stdout, stderr)
	case *strokes == "" || len(files) > 0:
		return wrongUsage(stderr, "hands", "give one file, a score or --strokes")
	}
	if err := handsOfStrokes(*strokes, stdout); err != nil {
		fmt.Fprintf(stderr, "fourfold hands: %v\n", err)
		return 2
	}
	return 0
}

// strokesInput is what --strokes reads: strokes for one hand, or staves for two.
type strokesInput struct {
	Hand    string        `json:"hand"`
	Strokes []strokeInput `json:"strokes"`
	Staves  []staveInput  `json:"staves"`
}

type staveInput struct {
	Hand    string        `json:"hand"`
	Strokes []strokeInput `json:"strokes"`
}

type strokeInput struct {
	T       *float64 `json:"t"`
	Strings []int    `json:"strings"`
	Printed []int    `json:"printed"`
}

// fingeringOutput is what it prints for one hand.
type fingeringOutput struct {
	Cost        float64         `json:"cost"`
	Placings    []placingOutput `json:"placings"`
	MaxLoad     float64         `json:"maxLoad"`
	CeilingLoad float64         `json:"ceilingLoad"`
}

type placingOutput struct {
	From    int     `json:"from"`
	To      int     `json:"to"` // inclusive
	Fingers [][]int `json:"fingers"`
	Order   string  `json:"order"`
	Change  string  `json:"change"`
}

func handsOfStrokes(file string, stdout io.Writer) error {
	text, err := readFileOrStdin(file)
	if err != nil {
		return err
	}
	var in strokesInput
	if err := decodeStrict(text, &in); err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	out, err := in.solve()
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	return json.NewEncoder(stdout).Encode(out)
}

// solve gives what is printed.
func (in strokesInput) solve() (any, error) {
	profile, err := handProfile(in.Hand)
	if err != nil {
		return nil, err
	}
	if in.Staves != nil {
		if in.Strokes != nil {
			return nil, errors.New(`give "strokes" for one hand or "staves" for two, not both`)
		}
		return twoHandsOf(in.Staves, profile)
	}
	strokes, err := strokesOf("strokes", in.Strokes)
	if err != nil {
		return nil, err
	}
	solution := hands.Solve(strokes, profile)
	return fingeringOutput{
		Cost:        placingsCost(solution.Cost),
		Placings:    placingsOutput(solution.Placings),
		MaxLoad:     solution.MaxLoad,
		CeilingLoad: hands.Ceiling(strokes, profile),
	}, nil
}

func handProfile(name string) (harp.Hand, error) {
	if name == "" {
		return harp.Standard(), nil
	}
	profile, ok := harp.HandNamed(name)
	if !ok {
		return profile, fmt.Errorf(`there is no hand named %q; use "standard" or "small"`, name)
	}
	return profile, nil
}

// mostString bounds the string numbers that are taken for real.
const mostString = 1000

// strokesOf checks the strokes of the input and puts them in order. where names the
// list in messages.
func strokesOf(where string, in []strokeInput) ([]hands.Stroke, error) {
	strokes := make([]hands.Stroke, 0, len(in))
	for i, s := range in {
		if s.T == nil {
			return nil, fmt.Errorf(`%s[%d] has no time: give "t" in seconds`, where, i)
		}
		if len(s.Strings) == 0 {
			return nil, fmt.Errorf(`%s[%d] has no strings: give "strings" as a list of string numbers, middle C being 28`, where, i)
		}
		for _, number := range s.Strings {
			if number < -mostString || number > mostString {
				return nil, fmt.Errorf("%s[%d]: no harp has a string %d; middle C is 28", where, i, number)
			}
		}
		if s.Printed != nil && len(s.Printed) != len(s.Strings) {
			return nil, fmt.Errorf(`%s[%d] has %d strings and %d printed fingers: give one for each, 0 for none`, where, i, len(s.Strings), len(s.Printed))
		}
		for _, finger := range s.Printed {
			if finger < 0 || finger > 4 {
				return nil, fmt.Errorf(`%s[%d]: %d is no finger of a harpist; use 1, the thumb, to 4, or 0 for none`, where, i, finger)
			}
		}
		strokes = append(strokes, hands.Stroke{T: *s.T, Strings: s.Strings, Printed: s.Printed})
	}
	return hands.Tidy(strokes), nil
}

// placingsCost turns millionths into placings, the unit in which costs are shown.
func placingsCost(millionths int64) float64 { return float64(millionths) / 1e6 }

func placingsOutput(placings []hands.Placing) []placingOutput {
	out := make([]placingOutput, 0, len(placings))
	for _, p := range placings {
		fingers := make([][]int, len(p.Fingers))
		for i, list := range p.Fingers {
			fingers[i] = list[slices.IndexFunc(list, func(f int) bool { return f > 0 }):]
		}
		out = append(out, placingOutput{p.From, p.To, fingers, p.Order.String(), p.Change.String()})
	}
	return out
}

func readFileOrStdin(file string) ([]byte, error) {
	if file == "-" {
		return io.ReadAll(os.Stdin)
	}
	return os.ReadFile(file)
}

// decodeStrict reads one JSON value and nothing else. Its errors say where.
func decodeStrict(text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	err := d.Decode(into)
	if err == nil {
		if _, more := d.Token(); more != io.EOF {
			return fmt.Errorf("%s: more text after the end of the object; one object is read", place(text, d.InputOffset()))
		}
		return nil
	}
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.Is(err, io.EOF):
		return errors.New("the file is empty; it must hold one JSON object")
	case errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("%s: the JSON ends too early; close what is open", place(text, int64(len(text))))
	case errors.As(err, &syntax):
		return fmt.Errorf("%s: this is not JSON: %v", place(text, syntax.Offset-1), err)
	case errors.As(err, &kind):
		return fmt.Errorf("%s: %q cannot be a %s; it must be a %s", place(text, kind.Offset-1), kind.Field, kind.Value, jsonName(kind.Type))
	default:
		return fmt.Errorf("%s: %v", place(text, d.InputOffset()), err)
	}
}

// jsonName is what JSON calls a value that a field of this type takes.
func jsonName(field reflect.Type) string {
	switch field.Kind() {
	case reflect.Struct, reflect.Map:
		return "object"
	case reflect.Slice, reflect.Array:
		return "list"
	case reflect.Float64:
		return "number"
	case reflect.Int:
		return "whole number"
	case reflect.Pointer:
		return jsonName(field.Elem())
	}
	return field.Kind().String()
}

// place names a byte of the text as line and column, both from 1.
func place(text []byte, offset int64) string {
	before := text[:max(0, min(int(offset), len(text)))]
	line := 1 + bytes.Count(before, []byte("\n"))
	column := len(before) - bytes.LastIndexByte(before, '\n')
	return fmt.Sprintf("line %d, column %d", line, column)
}
