package score

import (
	"encoding/binary"
	"errors"
)

// struckKey is a key struck at a time in ticks; 1920 ticks are a whole note.
type struckKey struct{ tick, key int }

// readMIDI gives the keys that a standard MIDI file strikes, the drum channel
// left out.
func readMIDI(b []byte) ([]struckKey, error) {
	if len(b) < 14 || string(b[:4]) != "MThd" {
		return nil, errors.New("no MIDI file")
	}
	division := int(binary.BigEndian.Uint16(b[12:]))
	b = b[8+binary.BigEndian.Uint32(b[4:]):]
	var out []struckKey
	for len(b) >= 8 {
		n := min(int(binary.BigEndian.Uint32(b[4:])), len(b)-8)
		if string(b[:4]) == "MTrk" {
			out = append(out, readTrack(b[8:8+n], division)...)
		}
		b = b[8+n:]
	}
	return out, nil
}

func readTrack(b []byte, division int) []struckKey {
	var out []struckKey
	tick, status := 0, byte(0)
	for len(b) > 0 {
		delta, n := varLength(b)
		b = b[n:]
		tick += delta
		if len(b) == 0 {
			break
		}
		if b[0] >= 0x80 {
			status = b[0]
			b = b[1:]
		}
		switch {
		case status == 0xff && len(b) > 0:
			size, n := varLength(b[1:])
			b = b[min(len(b), 1+n+size):]
		case status == 0xf0 || status == 0xf7:
			size, n := varLength(b)
			b = b[min(len(b), n+size):]
		case status&0xf0 == 0xc0 || status&0xf0 == 0xd0:
			b = b[1:]
		default:
			if status&0xf0 == 0x90 && len(b) > 1 && b[1] > 0 && status != 0x99 {
				out = append(out, struckKey{tick * 480 / division, int(b[0])})
			}
			b = b[min(len(b), 2):]
		}
	}
	return out
}

func varLength(b []byte) (value, n int) {
	for n < len(b) {
		c := b[n]
		n++
		value = value<<7 | int(c&0x7f)
		if c < 0x80 {
			break
		}
	}
	return value, n
}
