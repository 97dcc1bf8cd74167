package rules

import "fmt"

const markMissingName = "feet/mark-missing"

// MarkMissing finds parts that mark pedals but not the setting at the start.
var MarkMissing = Rule{
	Name:  markMissingName,
	Title: "pedals are marked, but not where they stand at the start",
	Doc: `Where a part marks pedals, it gives the full setting before the first note. A part without any pedal mark
is left to the player, which many prefer.

Fails: "_F♯" in bar 3 and no setting in bar 1. Passes: "_D C B | E F G A" under the first note.

What to do: write the setting under the first note.

Where the facts come from: full setting at the start (a harp notation dissertation of the Sibelius Academy;
read); that composers may leave marks out (a players' information sheet on pedals; read).`,
	Whole: checkMarkMissing,
}

func checkMarkMissing(p *Part) []Finding {
	if p.Pedals == nil || len(p.Pedals.Demands) == 0 || len(p.Pedals.Marks) == 0 && (p.around == nil || !p.around.marked) || p.around != nil && p.around.full {
		return nil
	}
	first := p.Pedals.Note(0)
	for _, m := range p.Pedals.Marks {
		if m.Full && comparePlaces(m.Bar, m.Onset, first.Bar, first.Onset) <= 0 {
			return nil
		}
	}
	f := p.finding(markMissingName, *first.Pluck)
	f.Message = fmt.Sprintf("The part marks pedals but gives no setting before its first note; it needs %s.", SettingWords(p.Pedals.Plan.Initial))
	f.Advice = "Write the setting under the first note."
	return []Finding{f}
}
