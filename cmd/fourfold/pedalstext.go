package main

import (
	"fmt"
	"strings"

	"fourfold/analysis/rules"
)

// text is the plan bar by bar, with the settings at both ends.
func (plan pedalPlan) text() string {
	var b strings.Builder
	initial, final := plan.part.Pedals.Plan.Initial, plan.part.Pedals.Plan.Final
	fmt.Fprintf(&b, "%s: %s\n", partTitle(plan.Tune, plan.Player), plural(len(plan.Moves), "move"))
	fmt.Fprintf(&b, "  before the piece  %s   %s\n", rules.SettingWords(initial), rules.Diagram(initial))
	sweeps, bar := plan.Glissandi, 0
	for _, m := range byBar(plan.Moves) {
		for len(sweeps) > 0 && sweeps[0].Bar < m.Bar {
			sweeps[0].print(&b)
			sweeps = sweeps[1:]
		}
		if m.Bar != bar {
			bar = m.Bar
			fmt.Fprintf(&b, "  bar %d\n", bar)
		}
		fmt.Fprintf(&b, "    beat %-5s %s\n", m.Beat, m.said())
	}
	for _, s := range sweeps {
		s.print(&b)
	}
	fmt.Fprintf(&b, "  at the end        %s   %s\n", rules.SettingWords(final), rules.Diagram(final))
	for _, s := range plan.Seams {
		way := fmt.Sprintf("back from bar %d to bar %d", s.From, s.To)
		if s.To > s.From {
			way = fmt.Sprintf("from bar %d into the ending at bar %d", s.From, s.To)
		}
		fmt.Fprintf(&b, "  %s\n", way)
		for _, m := range s.Moves {
			fmt.Fprintf(&b, "    bar %d, beat %s  %s\n", m.Bar, m.Beat, m.said())
		}
	}
	b.WriteByte('\n')
	return b.String()
}

// partTitle names a part.
func partTitle(tune, player string) string {
	if player == "" {
		return "Tune " + tune
	}
	return "Tune " + tune + ", " + player
}

// said is a move in a line.
func (m planMove) said() string {
	note := ""
	switch {
	case m.Late > 1e-9:
		note = fmt.Sprintf("  %.2f s late", m.Late)
	case m.rings:
		note = "  while its string rings"
	}
	if m.Crossed {
		note += "  crossing over the middle"
	}
	return fmt.Sprintf("%-5s foot  %s  at %.2f s, between %.2f and %.2f s%s", m.Foot, m.words, m.At, m.WindowStart, m.WindowEnd, note)
}

// print tells a glissando.
func (s planSweep) print(b *strings.Builder) {
	fmt.Fprintf(b, "  bar %d\n    beat %-5s glissando  %s   %s  sounds %s\n", s.Bar, s.Beat, rules.SettingWords(s.setting), rules.Diagram(s.setting), strings.Join(s.Sounds, " "))
}
