package main

import (
	"fmt"
	"math"

	"fourfold/analysis/feet"
)

// demandsInput is what --demands reads.
type demandsInput struct {
	Start   float64        `json:"start"`
	Initial map[string]int `json:"initial"`
	Demands []demandInput  `json:"demands"`
}

type demandInput struct {
	T      *float64 `json:"t"`
	Letter *int     `json:"letter"`
	Pos    *int     `json:"pos"`
}

// planOutput is what it prints.
type planOutput struct {
	Clash []clashOutput `json:"clash"`
	Feet  []footOutput  `json:"feet"`
}

type clashOutput struct {
	T         float64    `json:"t"`
	Letter    int        `json:"letter"`
	Positions []feet.Pos `json:"positions"`
}

type footOutput struct {
	Foot    string       `json:"foot"`
	Late    float64      `json:"late"`
	Stretch *float64     `json:"stretch"` // null where no tempo helps
	Moves   []moveOutput `json:"moves"`
}

type moveOutput struct {
	Pedal       string   `json:"pedal"`
	From        feet.Pos `json:"from"`
	To          feet.Pos `json:"to"`
	WindowStart float64  `json:"windowStart"`
	WindowEnd   float64  `json:"windowEnd"`
	At          float64  `json:"at"`
	End         float64  `json:"end"`
	Late        float64  `json:"late"`
}

// planOfDemands answers --demands.
func planOfDemands(file string) (any, error) {
	text, err := readFileOrStdin(file)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read (%v): check the name and its permissions", file, cause(err))
	}
	var in demandsInput
	if err := decodeStrict(text, &in); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	demands, initial, err := in.read()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	out := planOutput{Clash: []clashOutput{}, Feet: []footOutput{}}
	for _, c := range feet.Clashes(demands) {
		out.Clash = append(out.Clash, clashOutput{c.T, int(c.Letter), c.Positions})
	}
	windows := feet.Windows(demands, initial, in.Start)
	for _, f := range []feet.Foot{feet.Left, feet.Right} {
		out.Feet = append(out.Feet, footOf(f, feet.OfFoot(windows, f)))
	}
	return out, nil
}

func (in demandsInput) read() ([]feet.Demand, feet.Setting, error) {
	initial, err := initialSetting(in.Initial)
	if err == nil {
		err = checkTime(`"start"`, &in.Start)
	}
	if err != nil {
		return nil, initial, err
	}
	demands := make([]feet.Demand, len(in.Demands))
	for i, d := range in.Demands {
		where := fmt.Sprintf("demands[%d]", i)
		if err := checkTime(where, d.T); err != nil {
			return nil, initial, err
		}
		switch {
		case d.Letter == nil || *d.Letter < 0 || *d.Letter >= feet.Letters:
			return nil, initial, fmt.Errorf(`%s: give "letter" as a number, 0 (C) to 6 (B)`, where)
		case d.Pos == nil || *d.Pos < -1 || *d.Pos > 1:
			return nil, initial, fmt.Errorf(`%s: give "pos" as -1 (flat), 0 (natural) or 1 (sharp); a pedal has no other`, where)
		}
		demands[i] = feet.Demand{T: *d.T, Letter: feet.Letter(*d.Letter), Pos: feet.Pos(*d.Pos)}
	}
	return demands, initial, nil
}

func footOf(f feet.Foot, windows []feet.Window) footOutput {
	out := footOutput{
		Foot:    f.String(),
		Late:    nano(feet.Late(windows, feet.Steady)),
		Stretch: factorOrNull(feet.Stretch(windows, feet.Steady)),
		Moves:   []moveOutput{},
	}
	for _, s := range feet.Schedule(windows, feet.Steady) {
		w := s.Window
		out.Moves = append(out.Moves, moveOutput{
			Pedal: w.Letter.String(), From: w.From, To: w.To,
			WindowStart: w.Release, WindowEnd: w.Deadline,
			At: nano(s.At), End: nano(s.End), Late: nano(s.Late),
		})
	}
	return out
}

// nano rounds to a nanosecond: what is finer only comes from computing.
func nano(seconds float64) float64 { return math.Round(seconds*1e9) / 1e9 }

// factorOrNull gives nil for an infinite factor, which JSON cannot hold.
func factorOrNull(factor float64) *float64 {
	if math.IsInf(factor, 0) {
		return nil
	}
	rounded := nano(factor)
	return &rounded
}
