package main

import (
	"context"
	"fmt"
	"math"

	"fourfold/analysis/feet"
	"fourfold/analysis/harp"
)

// instantsInput is what --instants reads.
type instantsInput struct {
	Start    float64        `json:"start"`
	Initial  map[string]int `json:"initial"`
	Instants []instantInput `json:"instants"`
}

type instantInput struct {
	T     *float64    `json:"t"`
	Notes []noteInput `json:"notes"`
}

type noteInput struct {
	String   *int `json:"string"`
	Acc      int  `json:"acc"`
	Harmonic bool `json:"harmonic"`
}

// spellingOutput is what it prints: the instants as they came, respelled.
type spellingOutput struct {
	Cost       *float64        `json:"cost"` // null where an instant has no spelling
	Spelling   []instantOutput `json:"spelling"`
	Impossible []int           `json:"impossible,omitempty"`
	Proved     *bool           `json:"proved,omitempty"` // only where it is false
}

type instantOutput struct {
	T     float64      `json:"t"`
	Notes []noteOutput `json:"notes"`
}

type noteOutput struct {
	String   int  `json:"string"`
	Acc      int  `json:"acc"`
	Harmonic bool `json:"harmonic,omitempty"`
}

// spellingOfInstants answers --instants.
func spellingOfInstants(file string) (any, error) {
	text, err := readFileOrStdin(file)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read (%v): check the name and its permissions", file, cause(err))
	}
	var in instantsInput
	if err := decodeStrict(text, &in); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	music, initial, err := in.read()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	spelling, err := feet.Spell(context.Background(), music, feet.SpellOptions{
		Initial: initial, Start: in.Start, Strings: feet.StringsOf(harp.Concert(), music),
	})
	if err != nil {
		return nil, err
	}
	return spellingOf(spelling), nil
}

func (in instantsInput) read() ([]feet.Instant, feet.Setting, error) {
	initial, err := initialSetting(in.Initial)
	if err == nil {
		err = checkTime(`"start"`, &in.Start)
	}
	if err != nil {
		return nil, initial, err
	}
	music := make([]feet.Instant, len(in.Instants))
	for i, m := range in.Instants {
		where := fmt.Sprintf("instants[%d]", i)
		if err := checkTime(where, m.T); err != nil {
			return nil, initial, err
		}
		music[i].T = *m.T
		for k, n := range m.Notes {
			switch {
			case n.String == nil || *n.String < 0 || *n.String > mostString:
				return nil, initial, fmt.Errorf(`%s.notes[%d]: give "string" as a string number, middle C being 28`, where, k)
			case n.Acc < -2 || n.Acc > 2:
				return nil, initial, fmt.Errorf(`%s.notes[%d]: give "acc" in semitones, -2 (double flat) to 2 (double sharp)`, where, k)
			}
			music[i].Notes = append(music[i].Notes, feet.Note{String: *n.String, Alter: n.Acc, Fixed: n.Harmonic})
		}
	}
	return music, initial, nil
}

func spellingOf(s feet.Spelling) spellingOutput {
	out := spellingOutput{Spelling: []instantOutput{}, Impossible: s.Impossible}
	if len(s.Impossible) == 0 {
		cost := math.Round(s.Cost*1e6) / 1e6
		out.Cost = &cost
	}
	if !s.Proved {
		out.Proved = &s.Proved
	}
	for _, m := range s.Music {
		instant := instantOutput{T: m.T, Notes: []noteOutput{}}
		for _, n := range m.Notes {
			instant.Notes = append(instant.Notes, noteOutput{n.String, n.Alter, n.Fixed})
		}
		out.Spelling = append(out.Spelling, instant)
	}
	return out
}
