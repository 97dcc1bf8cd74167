package rules

import "fourfold/parser/score"

// Notation are the rules about the ABC itself. The reader of the score finds them;
// here they have their words.
func Notation() []Rule {
	return []Rule{
		{
			Name: score.RuleSyntax, Title: "this is not ABC",
			Doc: `Something stands in the music or in a field that ABC has no meaning for. It is left aside and the
rest is read as if it were not there, so what Fourfold says about the notes around it may be wrong too.

Fails: C ^ D. Passes: C ^D.

What to do: take it out, or write what was meant; the message shows the way where it is clear.

Where this comes from: the ABC standard 2.1.`,
		},
		{
			Name: score.RuleUnclosed, Title: "something is opened and never closed",
			Doc: `A chord, a slur, a group of grace notes, a decoration, a field or a text between quotation marks
is opened and not closed, or closed and never opened.

Fails: [CEG D E F. Passes: [CEG] D E F.

What to do: add the sign that is missing, or take out the one that is too many.

Where this comes from: the ABC standard 2.1, sections 4.11 (slurs), 4.12 (grace notes), 4.17 (chords).`,
		},
		{
			Name: score.RuleBarLength, Title: "a bar is too long or too short",
			Doc: `The notes of the bar do not fill its meter, or are too many for it. Pick-up bars, and bars that
make up a whole one across a repeat, are no fault. The bars that follow are read as if this one were right.

Fails: M:4/4 with C D E | (in quarters). Passes: C D E F |.

What to do: count the bar again; look at the unit length L: too.

Where this comes from: the ABC standard 2.1, sections 3.1.6 (meter) and 3.1.7 (unit note length).`,
		},
		{
			Name: score.RuleVoices, Title: "the voices are not of the same length",
			Doc: `One voice has fewer bars than another, or a bar in one voice is shorter than the same bar in
another. Bars with the same number are played together, so the hands would drift apart.

Fails: a right hand of two bars over a left hand of one. Passes: the same number of bars in each.

What to do: add the bars that are missing; a bar of rest is z4, several are Z2.

Where this comes from: the ABC standard 2.1, section 7 (multiple voices).`,
		},
		{
			Name: score.RuleTie, Title: "a tie leads to no note",
			Doc: `The sign - after a note joins it to the next note of the same pitch: one pluck, sounding on. Here
no such note follows, so the tie means nothing; the harpist would ask whether to pluck again.

Fails: C- D. Passes: C- C.

What to do: take out the tie, or write a slur ( ) if that was meant; on the harp, !l.v.! lets a string ring.

Where this comes from: the ABC standard 2.1, section 4.11 (ties and slurs).`,
		},
		{
			Name: score.RuleBroken, Title: "> or < has no pair of notes",
			Doc: `The signs > and < make one of two neighbouring notes longer and the other shorter. Both notes must
be there, in one bar.

Fails: C D E F> |. Passes: C D E> F |.

What to do: move the sign between two notes, or write the lengths out (C3/2 D/).

Where this comes from: the ABC standard 2.1, section 4.4 (broken rhythm).`,
		},
		{
			Name: score.RuleTuplet, Title: "a tuplet lacks notes",
			Doc: `A number after ( says how many notes follow in the time of fewer: (3 is a triplet. Here the bar or
the music ends before all of them have come, or the number cannot be counted.

Fails: (3 C D | E. Passes: (3 C D E |.

What to do: write all the notes in the bar; a rest counts as one of them.

Where this comes from: the ABC standard 2.1, section 4.13 (duplets, triplets, quadruplets, etc.).`,
		},
		{
			Name: score.RuleDecoration, Title: "a decoration that nobody knows",
			Doc: `The name between ! signs is none that the standard or common programs have. It is kept in the file
and left aside, so a harmonic or a roll that was meant is not seen.

Fails: !trll!C. Passes: !trill!C.

What to do: correct the name. A word for the player goes over the note as text: "^dolce".

Where this comes from: the ABC standard 2.1, section 4.14 (decorations).`,
		},
		{
			Name: score.RuleField, Title: "a field stands where it may not",
			Doc: `Some fields belong in the header, some in the music, and a letter that is no field means nothing.
The line is left out; it is never read as notes.

Fails: T:Title between lines of music inside [ ]. Passes: T:Title in the header.

What to do: move the field, or take it out.

Where this comes from: the ABC standard 2.1, section 3 (the table of fields).`,
		},
		{
			Name: score.RuleScoreVoice, Title: "the score names a voice that is missing",
			Doc: `The line %%score says which voices stand on which staff, and one of its names has no V: in the tune.
The brace may then hold one staff where two were meant, and no left hand is read.

Fails: %%score {RH LH} with V:RH alone. Passes: both V:RH and V:LH.

What to do: correct the name on one side, or write the voice.

Where this comes from: the ABC standard 2.1, section 11.1 (voice grouping).`,
		},
		{
			Name: score.RuleVoice, Title: "a voice that the header does not declare",
			Doc: `The music has a V: that the header does not have. It is read all the same, with the clef and the
name that it gives itself; it is often a slip in the voice's name.

Fails: V:RG in the music, V:RH in the header. Passes: the same name in both.

What to do: correct the name, or declare the voice in the header.

Where this comes from: the ABC standard 2.1, section 7.1 (the V: field).`,
		},
		{
			Name: score.RuleLyrics, Title: "more syllables than notes",
			Doc: `A w: line has more syllables than the music line above it has notes. The last ones are left out.
Grace notes and rests take no syllable.

Fails: C D | over w: one two three. Passes: w: one two.

What to do: count the syllables; * passes over a note, _ holds a syllable.

Where this comes from: the ABC standard 2.1, section 5 (lyrics).`,
		},
		{
			Name: score.RuleAccidental, Title: "an accidental that is in force already",
			Doc: `The note has this accidental by the key or from earlier in the bar. It does no harm, and may be a
reminder on purpose; where it is a slip, something else was meant.

Fails: ^F ^F |. Passes: ^F F |.

What to do: leave it as a reminder, or take it out.

Where this comes from: the ABC standard 2.1, section 4.2 (accidentals).`,
		},
		{
			Name: score.RuleLoose, Title: "old or loose writing",
			Doc: `The ABC is understood, but some programs may read it otherwise: an older spelling, a blank where
none belongs, an extension.

Fails: +CEG+. Passes: [CEG].

What to do: write it the way that the message shows.

Where this comes from: the ABC standard 2.1, section 10 (outdated syntax) and 12 (loose interpretation).`,
		},
	}
}
