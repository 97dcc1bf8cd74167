package review

import (
	"slices"

	"fourfold/analysis/feet"
	"fourfold/analysis/hands"
	"fourfold/analysis/rules"
)

// footwork is what sets the strings' pitches in a part: the plan of the feet, nil
// on a harp without pedals, or that of the hands at the levers, nil on one without.
type footwork struct {
	plan   *feet.Plan
	levers *rules.Levers
	part   *rules.Part
}

func footworkOf(p *rules.Part) footwork {
	f := footwork{part: p, levers: p.Levers()}
	if p.Pedals != nil {
		f.plan = p.Pedals.Plan
	}
	return f
}

// moves are how many pedals or levers are moved in the piece, and for how many of
// them there is no time.
func (f footwork) moves() (all, late int) {
	switch {
	case f.plan != nil:
		return len(f.plan.Moves), len(f.late())
	case f.levers != nil:
		return len(f.levers.Moves), len(f.busy())
	}
	return 0, 0
}

// place is the note that a move must be ready for.
func (f footwork) place(m feet.Move) hands.Pluck { return *f.part.Pedals.Note(m.Demand).Pluck }

// late are the moves that come late, in order.
func (f footwork) late() (out []feet.Move) {
	if f.plan == nil {
		return nil
	}
	for _, m := range f.plan.Moves {
		if m.Late > 0 {
			out = append(out, m)
		}
	}
	return out
}

// stretch is by how much the music must slow down for both feet; infinite where
// no tempo helps, 1 where they are in time.
func (f footwork) stretch() float64 {
	if f.plan == nil {
		return 1
	}
	return max(1, f.plan.Feet[feet.Left].Stretch, f.plan.Feet[feet.Right].Stretch)
}

// load is a move's share of the time that its foot has for it: above 1 it is
// late.
func load(m feet.Move) float64 {
	if m.Late > 0 {
		return max(m.Stretch, 1)
	}
	have := m.Deadline - m.Release
	if have <= 0 {
		return 0
	}
	return min(1, (m.End-m.At)/have)
}

// settings are the full settings in the order in which the music needs them,
// the first from the start.
func (f footwork) settings() (out []settingAt) {
	if f.plan == nil {
		return nil
	}
	out = append(out, settingAt{setting: f.plan.Initial})
	moves := slices.Clone(f.plan.Moves)
	slices.SortStableFunc(moves, func(a, b feet.Move) int {
		switch {
		case a.Deadline < b.Deadline:
			return -1
		case a.Deadline > b.Deadline:
			return 1
		}
		return 0
	})
	for i, m := range moves {
		if i == 0 || m.Deadline-moves[i-1].Deadline > 1e-9 {
			out = append(out, settingAt{setting: out[len(out)-1].setting, place: f.place(m), later: true})
		}
		last := &out[len(out)-1]
		last.setting[m.Letter] = m.To
		last.moved = append(last.moved, m.Letter)
	}
	return out
}

// settingAt is a full setting, the note that needs it and what moved to reach it.
type settingAt struct {
	setting feet.Setting
	moved   []feet.Letter
	place   hands.Pluck
	later   bool // not the setting of the start
}
