package rules

import "fourfold/parser/score"

// Card is what there is to say about one finger group: the notes that one hand
// sets together before it plays the first of them.
type Card struct {
	Span        score.Span // bytes of the file, from the group's first note to its last
	Hand        string     // "right hand"
	Bar         int
	Beat        string // "2", "3½"
	Strokes     []CardStroke
	Order       string  // in words: "upwards, one after another"
	Extent      string  // in words: "a sixth"; empty for one string
	Ends        string  // why the group ends where it does, in words
	Next        string  // what comes after it and how the hand gets there, in words
	NextHave    float64 // seconds to the next group, 0 where there is none
	NextNeed    float64 // seconds the hand needs for it
	Tempo       string  // in the beat of the score: "♩ = 132"
	Comfortable string  // "♩ = 86", "" where nothing limits it
	Holds       string
	Pedals      string   // the setting in force: "D♮ C♯ B♭ | E♮ F♮ G♮ A♮"; "" for a harp without pedals
	Diagram     string   // the same as seven marks
	Glissando   string   // which strings sound, in words; "" outside
	Findings    []string // messages of findings on this group
	at          Place    // of the note that was asked about
	now         instant  // of the same note, in its bar
	last        bool     // no group of the hand follows
}

// CardStroke is what is plucked at one instant, from the lowest string up.
type CardStroke struct {
	Names   []string // notes as typed: "^f"
	Pitches []string // "F♯5"
	Fingers []int    // 1 is the thumb
}
