package fix

// refusal is why a candidate is not offered.
type refusal string

// The refusals, in words that can follow "because".
const (
	noOtherStaff     refusal = "there is no staff for the other hand"
	textBreaks       refusal = "the notes cannot be written so without changing others"
	accidentalClash  refusal = "a later note of the bar would sound otherwise"
	fromMacro        refusal = "the notes come from a macro"
	tieBreaks        refusal = "a tie would be cut"
	slurBreaks       refusal = "a slur would lose its end"
	graceBreaks      refusal = "grace notes would lose their note"
	decorationBreaks refusal = "a mark over the note would lose it"
	marksInside      refusal = "the chord bears marks or lengths inside"
	printedFinger    refusal = "a printed finger would stand on another note"
	wordsUnder       refusal = "the words under the notes would shift"
	otherBusy        refusal = "the other hand is not free"
	stillThere       refusal = "the finding would remain"
	othersCome       refusal = "something as severe would come beside it"
	promiseBroken    refusal = "the music would change more than the fix says"
	pedalNeeded      refusal = "the spare string's pedal is needed elsewhere"
)
