package main

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// unifiedContext is how many lines stand around a change.
const unifiedContext = 3

// change is a run of lines that differ: [from, to) before, [start, end) after.
type change struct{ from, to, start, end int }

// unified is the difference of two texts as diff -u prints it, with names a/ and b/
// so that patch -p1 takes it; "" where there is none.
func unified(name string, before, after []byte) string {
	was, is := bytes.SplitAfter(before, []byte("\n")), bytes.SplitAfter(after, []byte("\n"))
	was, is = withoutEmpty(was), withoutEmpty(is)
	changes := changesOf(was, is)
	if len(changes) == 0 {
		return ""
	}
	var out strings.Builder
	fmt.Fprintf(&out, "--- %s\n+++ %s\n", quotedName("a/"+name), quotedName("b/"+name))
	for i := 0; i < len(changes); {
		j := i + 1
		for j < len(changes) && changes[j].from-changes[j-1].to <= 2*unifiedContext {
			j++
		}
		writeHunk(&out, was, is, changes[i:j])
		i = j
	}
	return out.String()
}

// quotedName sets a name that would break its line into quotes, as git does.
func quotedName(name string) string {
	if strings.ContainsAny(name, "\n\r\t\"\\") {
		return strconv.Quote(name)
	}
	return name
}

func withoutEmpty(lines [][]byte) [][]byte {
	if n := len(lines); n > 0 && len(lines[n-1]) == 0 {
		return lines[:n-1]
	}
	return lines
}

// changesOf compares line by line where there are as many lines as before; else
// all between the common beginning and end is one change.
func changesOf(was, is [][]byte) (out []change) {
	if len(was) != len(is) {
		head, tail := 0, 0
		for head < min(len(was), len(is)) && bytes.Equal(was[head], is[head]) {
			head++
		}
		for tail < min(len(was), len(is))-head && bytes.Equal(was[len(was)-1-tail], is[len(is)-1-tail]) {
			tail++
		}
		return []change{{head, len(was) - tail, head, len(is) - tail}}
	}
	for i := range was {
		if bytes.Equal(was[i], is[i]) {
			continue
		}
		if n := len(out); n > 0 && out[n-1].to == i {
			out[n-1].to, out[n-1].end = i+1, i+1
		} else {
			out = append(out, change{i, i + 1, i, i + 1})
		}
	}
	return out
}

// writeHunk prints neighbouring changes with the lines around them.
func writeHunk(out *strings.Builder, was, is [][]byte, changes []change) {
	first, last := changes[0], changes[len(changes)-1]
	lead := min(unifiedContext, first.from)
	tail := min(unifiedContext, len(was)-last.to)
	fmt.Fprintf(out, "@@ -%s +%s @@\n", hunkRange(first.from-lead, last.to+tail), hunkRange(first.start-lead, last.end+tail))
	at := first.from - lead
	for _, c := range changes {
		writeLines(out, ' ', was[at:c.from])
		writeLines(out, '-', was[c.from:c.to])
		writeLines(out, '+', is[c.start:c.end])
		at = c.to
	}
	writeLines(out, ' ', was[at:last.to+tail])
}

// hunkRange counts lines from 1; an empty range names the line before it.
func hunkRange(from, to int) string {
	if to == from {
		return fmt.Sprintf("%d,0", from)
	}
	return fmt.Sprintf("%d,%d", from+1, to-from)
}

func writeLines(out *strings.Builder, sign byte, lines [][]byte) {
	for _, l := range lines {
		out.WriteByte(sign)
		out.Write(l)
		if !bytes.HasSuffix(l, []byte("\n")) {
			out.WriteString("\n\\ No newline at end of file\n")
		}
	}
}
