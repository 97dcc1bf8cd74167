package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNotes(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	good := file("good.abc", "X:1\nM:3/4\nL:1/4\nV:RH\nK:D\n[V:RH]F2-F|^^c3|\n")
	broken := file("broken.abc", "X:1\nL:1/4\nK:C\n[C\"E\xff|]\nG}")
	for _, c := range []struct {
		name           string
		args           []string
		code           int
		stdout, stderr string
	}{
		{"notes", []string{good}, 0,
			`{"tune":"1","voice":"RH","bar":1,"onset":"0","duration":"3/4","pitch":"F#4","midi":66}` + "\n" +
				`{"tune":"1","voice":"RH","bar":2,"onset":"3/4","duration":"3/4","pitch":"C##5","midi":74}` + "\n", ""},
		{"broken notation", []string{broken}, 0, `"pitch":"C4"`, ""},
		{"no such file", []string{filepath.Join(dir, "none.abc")}, 2, "", "none.abc"},
		{"no file", nil, 2, "", "usage: fourfold notes FILE"},
		{"two files", []string{good, good}, 2, "", "usage: fourfold notes FILE"},
		{"unknown flag", []string{"--loud"}, 2, "", "usage: fourfold notes FILE"},
		{"help", []string{"-h"}, 0, "usage: fourfold notes FILE", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var stdout, stderr bytes.Buffer
			assert.Equal(t, c.code, runNotes(c.args, &stdout, &stderr))
			assert.Contains(t, stdout.String(), c.stdout)
			assert.Contains(t, stderr.String(), c.stderr)
			assert.Equal(t, c.stderr == "", stderr.Len() == 0)
			if c.stdout == "" {
				assert.Empty(t, stdout.String())
			}
		})
	}
}
