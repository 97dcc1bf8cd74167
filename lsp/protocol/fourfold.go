package protocol

import "go.lsp.dev/protocol"

// What is not of the protocol but the server's own, for editors that show a
// review beside the score.
const (
	MethodReview  = "fourfold/review"  // a request
	MethodCeiling = "fourfold/ceiling" // a notification to the client
)

// ReviewParams are those of fourfold/review. With a range, only the notes,
// placings and settings that touch it are told.
type ReviewParams struct {
	TextDocument DocumentID `json:"textDocument"`
	Range        *Range     `json:"range"`
}

// Review answers fourfold/review. Tune and Player of its parts count from 0
// into Tunes and the Players of that tune.
type Review struct {
	URI      string          `json:"uri"`
	Version  *Integer        `json:"version"`
	Tunes    []ReviewTune    `json:"tunes"`
	Notes    []ReviewNote    `json:"notes"`
	Placings []ReviewPlacing `json:"placings"`
	Settings []ReviewSetting `json:"settings"`
	Findings []ReviewFinding `json:"findings"`
}

// CeilingParams are those of fourfold/ceiling, sent after each analysis.
type CeilingParams struct {
	URI     string       `json:"uri"`
	Version *Integer     `json:"version"`
	Tunes   []ReviewTune `json:"tunes"`
}

// ReviewTune is one tune of the file and what it asks of each player.
type ReviewTune struct {
	Number  string         `json:"number"`
	Title   string         `json:"title"`
	Range   protocol.Range `json:"range"`
	Players []ReviewAsks   `json:"players"`
}

// ReviewAsks is what a tune asks of one player. Tempi are in the beat of the
// score, "" where nothing limits them.
type ReviewAsks struct {
	Name         string  `json:"name"` // "" where the score gives none
	Asked        string  `json:"asked"`
	Comfortable  string  `json:"comfortable"`
	Holds        string  `json:"holds"`
	Load         float64 `json:"load"` // asked ÷ holds, 0 where nothing limits the tempo
	Bar          int     `json:"bar"`  // the hardest, 0 for none
	Who          string  `json:"who"`
	Assumed      bool    `json:"assumed"` // the score gives no tempo
	Moves        int     `json:"moves"`   // of pedals
	Late         int     `json:"late"`
	BusiestBar   int     `json:"busiestBar"`
	BusiestMoves int     `json:"busiestMoves"`
	Text         string  `json:"text"` // all that in one line
}

// ReviewNote is a note and the finger that takes it.
type ReviewNote struct {
	Tune    int            `json:"tune"`
	Player  int            `json:"player"`
	Hand    string         `json:"hand"` // "right" or "left"
	Range   protocol.Range `json:"range"`
	Finger  int            `json:"finger"`  // 1 is the thumb, 0 where none is left
	Placing int            `json:"placing"` // index into the placings
}

// ReviewPlacing is a group of notes that a hand sets together.
type ReviewPlacing struct {
	Tune   int            `json:"tune"`
	Player int            `json:"player"`
	Hand   string         `json:"hand"`
	Range  protocol.Range `json:"range"` // as far as it stands on one line
	Notes  []int          `json:"notes"` // indexes into the notes, in the order of playing
	Bar    int            `json:"bar"`
	Beat   string         `json:"beat"`
	Why    string         `json:"why"` // why it ends where it does
	Load   float64        `json:"load"`
}

// ReviewSetting is a setting of the pedals, at the note that needs it.
type ReviewSetting struct {
	Tune    int            `json:"tune"`
	Player  int            `json:"player"`
	Range   protocol.Range `json:"range"`
	Bar     int            `json:"bar"`
	Beat    string         `json:"beat"`
	Letters string         `json:"letters"`
	Diagram string         `json:"diagram"`
	Moves   []ReviewMove   `json:"moves"` // what leads there; none before the piece
}

// ReviewMove is one pedal's move.
type ReviewMove struct {
	Letter string  `json:"letter"`
	From   string  `json:"from"`
	To     string  `json:"to"`
	Foot   string  `json:"foot"` // "left" or "right"
	Late   float64 `json:"late"` // seconds
}

// ReviewFinding is a finding with its place in the music.
type ReviewFinding struct {
	Range    protocol.Range `json:"range"`
	Rule     string         `json:"rule"`
	Severity int            `json:"severity"`
	Message  string         `json:"message"`
	Tune     string         `json:"tune"`
	Voice    string         `json:"voice"`
	Bar      int            `json:"bar"`
	EndBar   int            `json:"endBar"`
	Hand     string         `json:"hand"`
}

// ReviewPage is the result of the command that opens a review.
type ReviewPage struct {
	URI string `json:"uri"` // of the page, a file
}

// WorkspaceCheck is the result of the command that checks the workspace: how many
// scores there are, with errors, and with warnings but no errors.
type WorkspaceCheck struct {
	Scores   int `json:"scores"`
	Errors   int `json:"errors"`
	Warnings int `json:"warnings"`
}
