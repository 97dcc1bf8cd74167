package rules

import "fourfold/parser/score"

// Pitch is a note's pitch: "F♯5".
func Pitch(n *score.Note) string { return PitchWords(n.String, n.Alter) }

// Seconds writes a time with two digits that matter: "0.12 s".
func Seconds(s float64) string { return seconds(s) }

// TwoTimes writes a need and what there is so that they differ on paper too.
func TwoTimes(need, have float64) (string, string) { return twoTimes(need, have) }

// Count writes "1 note", "3 notes".
func Count(n int, thing string) string { return count(n, thing) }

// List joins words: "a", "a and b", "a, b and c".
func List(words []string) string { return list(words) }
