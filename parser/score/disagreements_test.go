package score

// reasons names why abc2midi plays other notes than are read here, and the
// clause of ABC 2.1 that decides it, or says that none does.
var reasons = map[string]string{
	"capital tonic":       "3.1.14: the tonic is a capital letter; abc2midi drops the tune, here it is reported and read as a capital",
	"clef only":           "3.1.14, 4.6: K: may hold nothing but a clef or a property, the key then stays; abc2midi plays nothing",
	"clef percussion":     "4.6: a percussion clef names a clef, no sound; abc2midi moves the voice to the drum channel",
	"clef octave":         "4.6: +8 sounds an octave higher, and a clef without it at its own pitch; abc2midi keeps the shift of the clef before, or turns it round",
	"grace accidental":    "4.2, 11.3: an accidental acts to the bar line; whether one on a grace note does is not said, here it does",
	"key signs unspaced":  "3.1.14: signs may follow the tonic without a blank (K:C^f); abc2midi leaves them out",
	"meter without lower": "3.1.6: M:2 is no meter of the standard; here it is 2/4",
	"nested tuplet":       "4.13 knows no tuplet inside a tuplet; here it is read where it begins with the outer one",
	"chord left open":     "4.17: a chord ends with ]; where it is missing, here the bar line ends it",
}

// disagreements are the tunes concerned.
var disagreements = map[string]string{
	"nottingham/reelsd-g.abc X:41":                 "chord left open",
	"abcjs-tests/parse-note-id.abc X:1":            "clef only",
	"abcjs-tests/synth-midi.abc X:2":               "capital tonic",
	"abcjs-tests/visual-mouse-click.abc X:1":       "clef octave",
	"abcjs-tests/visual-tablature.abc X:21":        "clef only",
	"abcjs-tests/visual-tablature.abc X:22":        "clef octave",
	"abcjs-tests/visual-transpose-output.abc X:50": "clef percussion",
	"abcjs-tests/visual-transpose-output.abc X:51": "clef percussion",
	"abcm2ps-examples/deco.abc X:1":                "clef octave",
	"abcm2ps-examples/sample.abc X:12":             "grace accidental",
	"abcm2ps-examples/sample2.abc X:2":             "meter without lower",
	"abcm2ps-examples/sample4.abc X:2":             "nested tuplet",
	"abcmidi-examples/baym_rebin.abc X:63":         "key signs unspaced",
}
