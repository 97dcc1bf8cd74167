package score

import (
	"bytes"

	"fourfold/parser/syntax"
)

// neutral rewrites one tune for an engine that plays: repeats, endings,
// ornaments, graces, texts, lyrics, tempi and accompaniment are taken out, so
// that what it plays can be compared with the written notes. Two old forms that
// some engines no longer read, D3 -D2 and +CEG+, are written as D3-D2 and [CEG].
func neutral(f *syntax.File, block syntax.Block) []byte {
	var out bytes.Buffer
	for _, b := range f.Blocks() {
		if b.Kind == syntax.FileHeaderBlock {
			neutralLines(&out, f, b)
		}
	}
	neutralLines(&out, f, block)
	return out.Bytes()
}

func neutralLines(out *bytes.Buffer, f *syntax.File, block syntax.Block) {
	for i := block.First; i < block.End; i++ {
		l := f.Line(i)
		switch l.Kind {
		case syntax.FieldLine:
			if bytes.IndexByte([]byte("XTMLKVI"), l.Field) >= 0 {
				out.Write(bytes.TrimRight(f.LineText(i), "\r\n"))
				out.WriteByte('\n')
			}
		case syntax.DirectiveLine:
			if bytes.HasPrefix(f.LineText(i), []byte("%%propagate")) {
				out.Write(f.LineText(i))
			}
		case syntax.MusicLine:
			var music bytes.Buffer
			neutralMusic(&music, f.LineText(i), l.Leaves)
			if len(bytes.TrimSpace(music.Bytes())) > 0 {
				out.Write(append(music.Bytes(), '\n'))
			}
		}
	}
}

func neutralMusic(out *bytes.Buffer, text []byte, leaves []syntax.Leaf) {
	grace, field, spacer, oldChord := false, false, false, false
	at := 0
	for i, l := range leaves {
		word := text[at : at+l.Len()]
		at += l.Len()
		k := l.Kind()
		if spacer && k == syntax.Length {
			continue
		}
		spacer = k == syntax.Spacer
		switch {
		case k == syntax.GraceOpen:
			grace = true
		case k == syntax.GraceClose:
			grace = false
		case k == syntax.Bar:
			grace = false
			out.WriteString("|")
		case grace:
		case k == syntax.FieldName:
			field = bytes.IndexByte([]byte("MLKVI"), word[1]) < 0
			if !field {
				out.Write(word)
			}
		case k == syntax.FieldEnd && field:
			field = false
		case field:
		case k == syntax.OldChord:
			out.WriteByte("[]"[btoi(oldChord)])
			oldChord = !oldChord
		case k == syntax.Space && (oldChord || i+1 < len(leaves) && leaves[i+1].Kind() == syntax.Tie):
		case k == syntax.Decoration, k == syntax.Shorthand, k == syntax.Quoted, k == syntax.SlurOpen, k == syntax.SlurClose,
			k == syntax.Ending, k == syntax.ScoreBreak, k == syntax.BeamMark, k == syntax.Reserved, k == syntax.Spacer,
			k == syntax.LineEnd, k == syntax.Comment, k.IsError():
		default:
			out.Write(word)
		}
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
