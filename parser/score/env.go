package score

// propagate says how far an accidental reaches within its bar.
type propagate uint8

const (
	toPitch  propagate = iota // every octave of its letter
	toOctave                  // its own octave alone
	toNone                    // its own note alone
)

// env is what the fields of a header set for what follows.
type env struct {
	meter     Meter
	unit      Frac // not valid where no L: was given
	key       Key
	shift     shift
	clef      string
	propagate propagate
	symbols   map[byte]string // U: letters that differ from the usual ones
	macros    macros
	layout    *layout
	settings  []Setting
	charset   string
}

func newEnv() env { return env{charset: "utf-8"} }

// own gives a copy that may be added to without changing this one.
func (e env) own() env {
	e.macros = e.macros.own()
	e.settings = e.settings[:len(e.settings):len(e.settings)]
	return e
}

// unitLength is L:, or what the header's meter makes of it: a sixteenth where
// the meter as a number lies below 3/4, else an eighth.
func (e *env) unitLength() Frac {
	if e.unit.Valid() {
		return e.unit
	}
	if e.meter.Length.Sign() > 0 && e.meter.Length.Less(F(3, 4)) {
		return F(1, 16)
	}
	return F(1, 8)
}
