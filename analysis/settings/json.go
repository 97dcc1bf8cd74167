package settings

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
)

// FromJSON reads the object that an editor keeps under "fourfold":
//
//	{"hand": "small", "severity": {"hands/tight": "off"}, "set": {"cycle": 0.2}}
//
// A setting that is null is not set.
func FromJSON(text []byte) (Apply, []Problem) {
	var object map[string]any
	d := json.NewDecoder(bytes.NewReader(text))
	err := d.Decode(&object)
	if err == nil {
		if _, more := d.Token(); !errors.Is(more, io.EOF) {
			err = errors.New("more text follows the object")
		}
	}
	if err != nil {
		return none, []Problem{{Message: sentence("the settings must be one JSON object: " + err.Error())}}
	}
	return layer(flat("", object))
}
