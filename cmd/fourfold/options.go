package main

import (
	"fmt"
	"io"
	"strings"

	"fourfold/analysis/harp"
	"fourfold/analysis/review"
	"fourfold/analysis/rules"
)

// option is one flag of a command, as its help, the completions and the man page
// show it.
type option struct {
	name  string
	value string   // what follows the flag, "N" or "FILE"; "" for a switch
	words []string // what the value may be, where there are few
	about string
}

// What a command's own words are.
const (
	takesNothing = ""
	takesScores  = "FILE…"
	takesFile    = "FILE"
	takesRules   = "RULE…"
	takesShell   = "SHELL"
)

// manual is what there is to say about calling a command.
type manual struct {
	takes   string
	options []option
}

var (
	formatOption = option{"format", "FORMAT", []string{"text", "json"}, "text for reading, json for programs (default text)"}
	tempoOption  = option{"tempo", "N", nil, "quarter notes a minute that replace every Q:"}
)

func handOption() option {
	return option{"hand", "NAME", []string{harp.Standard().Name, harp.Small().Name}, "the hands that play (default standard)"}
}

func harpOption() option {
	var names []string
	for _, i := range harp.Instruments() {
		names = append(names, i.Name)
	}
	return option{"harp", "NAME", names, "the harp (default concert)"}
}

// manuals are those of all commands, by name. A test holds them against the flags
// that the commands have.
func manuals() map[string]manual {
	return map[string]manual{
		"check": {takesScores, []option{
			{"format", "FORMAT", checkFormats, "text for reading, json (an object a line) or sarif for programs, github for annotations (default text)"},
			{"severity", "LEVEL", severityWords(), "leave out what matters less than this (default hint)"},
			{"rule", "RULE", rules.Names(), "show this rule or group of rules alone; may be repeated"},
			tempoOption, harpOption(), handOption(),
			{"set", "NAME=VALUE", nil, "any setting, or any number of the hand (cycle=0.2); may be repeated; 'fourfold explain settings' lists them"},
			{"fix", "", nil, "print changes that answer the warnings, or all of the rules named, as a unified diff"},
			{"write", "", nil, "with --fix: write the changes into the files"},
		}},
		"explain": {takesRules, []option{
			{"format", "FORMAT", []string{"text", "markdown"}, "text for the terminal, markdown for a page (default text)"},
		}},
		"hands": {takesFile, []option{
			formatOption,
			{"strokes", "FILE", nil, "read strokes as JSON from this file instead of a score"},
		}},
		"pedals": {takesFile, []option{
			formatOption,
			{"mark", "", nil, "print the score with the plan written under the notes, as a unified diff"},
			{"respell", "", nil, "print the score spelled as the feet like it best, as a unified diff"},
			{"flat", "", nil, "print parts in five to seven sharps in the flat keys that sound the same, as a unified diff"},
			{"write", "", nil, "with --mark, --respell or --flat: write the change into the file"},
			{"set", "PITCHES", nil, "find the settings that sound these pitches"},
			{"demands", "FILE", nil, "read demands as JSON from this file"},
			{"instants", "FILE", nil, "read instants as JSON from this file"},
		}},
		"notes": {takesFile, nil},
		"review": {takesScores, []option{
			{"o", "PAGE", nil, "the page to write, or the folder for several (default review.html, or review)"},
			{"by", "ORDER", []string{"place", "weight"}, "order of the places (default place)"},
			tempoOption, handOption(), harpOption(),
			{"pictures", "N", nil, fmt.Sprintf("how many places are drawn, the heaviest first (default %d, or fewer where the page would grow beyond two megabytes)", review.DefaultPictures)},
			{"leave-out", "WHAT", nil, "a rule, a group or bars not to show; may be repeated"},
		}},
		"serve": {takesNothing, []option{
			{"log", "FILE", nil, "write the log to this file"},
			{"verbose", "", nil, "write more into the log"},
			{"columns", "ENCODING", []string{"utf-8", "utf-16", "utf-32"}, "count columns so, for an editor that does without saying it"},
		}},
		"completion": {takesShell, nil},
		"man":        {takesNothing, nil},
		"version":    {takesNothing, nil},
	}
}

func severityWords() (words []string) {
	for s := rules.Error; s <= rules.Hint; s++ {
		words = append(words, s.String())
	}
	return words
}

// dashes are one before a letter, two before a word.
func (o option) dashes() string {
	if len(o.name) == 1 {
		return "-" + o.name
	}
	return "--" + o.name
}

// helpOptions lists the options of a command.
func helpOptions(w io.Writer, command string) {
	options := manuals()[command].options
	if len(options) == 0 {
		return
	}
	fmt.Fprintln(w, "\nOptions:")
	for _, o := range options {
		fmt.Fprintf(w, "  %s\n      %s\n", strings.TrimSpace(o.dashes()+" "+o.value), o.about)
		if len(o.words) > 0 && len(o.words) <= 8 {
			fmt.Fprintf(w, "      one of: %s\n", strings.Join(o.words, ", "))
		}
	}
}
