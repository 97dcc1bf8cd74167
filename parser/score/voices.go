package score

const (
	maxVoiceID = 20
	maxVoices  = 1000
)

// setVoice acts on V:. In the header it declares a voice, in the body it turns
// to it.
func (r *reader) setVoice(f field) {
	words := splitWords(f.text)
	if len(words) == 0 {
		r.problem(RuleSyntax, f.span, "`V:` without a name: write `V:1` or `V:RH`.")
		return
	}
	id, p := words[0], parseProps(words[1:])
	p.name, p.subname = r.plain(p.name), r.plain(p.subname)
	if id == "*" {
		for _, v := range r.voices {
			v.declare(p, r.body)
		}
		return
	}
	if len(id) > maxVoiceID {
		id = id[:maxVoiceID]
	}
	v, known := r.byID[id]
	if !known && len(r.voices) == maxVoices {
		r.problem(RuleVoice, f.span, "A tune has a thousand voices at most: this one is left out, and its music goes to the voice before.")
		return
	}
	if !known {
		v = r.addVoice(id)
		if r.body {
			v.inherit(&r.env)
			if len(r.voices) > 1 && r.voices[0].out.Declared && !p.any {
				v.undeclared = f.span
			}
		}
	}
	if !r.body || p.any {
		v.declare(p, r.body)
	}
	if r.body {
		r.turnTo(v)
	}
}

// turnTo makes a voice the current one; a part named before any voice starts
// with the first.
func (r *reader) turnTo(v *voice) {
	r.voice = v
	if r.part != "" {
		v.part, r.part = r.part, ""
	}
}

func (r *reader) addVoice(id string) *voice {
	v := &voice{out: &Voice{ID: id}, index: len(r.voices), number: 1, last: -1, pos: Zero, longest: Zero}
	r.voices = append(r.voices, v)
	r.byID[id] = v
	return v
}

// current is the voice that music goes to: before any V:, the first one.
func (r *reader) current() *voice {
	if r.voice == nil {
		if len(r.voices) == 0 {
			v := r.addVoice("1")
			v.inherit(&r.env)
		}
		r.turnTo(r.voices[0])
	}
	return r.voice
}

// declare takes the words of a V: field.
func (v *voice) declare(p props, body bool) {
	v.out.Declared = true
	if p.name != "" {
		v.out.Name = p.name
	}
	if p.subname != "" {
		v.out.Subname = p.subname
	}
	if p.cue != "" {
		v.out.Cue = p.cue == "on"
	}
	v.shape(p)
}

// shape takes clef, octave and transposition.
func (v *voice) shape(p props) {
	v.shift.merge(p.shift)
	if p.clef != "" && (v.out.Clef == "" || v.number == 1 && !v.timed()) {
		v.out.Clef = p.clef
	}
}

// inherit takes what the header set; the voice's own words win.
func (v *voice) inherit(e *env) {
	own := v.shift
	v.shift = e.shift
	v.shift.merge(own)
	if v.out.Clef == "" {
		v.out.Clef = e.clef
	}
	v.unit = e.unitLength()
	v.meter, v.key = e.meter, e.key
	v.bar.Meter, v.bar.Key = v.meter, v.key
}

// plain gives a text as a reader sees it.
func (r *reader) plain(s string) string { return plainText(s, r.env.charset) }
