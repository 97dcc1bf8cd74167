package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"
)

// engraveLimit is how long setting one bar may take.
const engraveLimit = 5 * time.Second

// findEngraver gives a function that has abcm2ps set an excerpt as notes; nil
// where it is not installed. It gets the excerpt on its standard input and works
// in an empty folder of its own.
func findEngraver() func(context.Context, string) (string, error) {
	program, err := exec.LookPath("abcm2ps")
	if err != nil {
		return nil
	}
	return func(ctx context.Context, abc string) (string, error) {
		ctx, cancel := context.WithTimeout(ctx, engraveLimit)
		defer cancel()
		folder, err := os.MkdirTemp("", "fourfold-engrave-")
		if err != nil {
			return "", err
		}
		defer os.RemoveAll(folder)
		cmd := exec.CommandContext(ctx, program, "-q", "-g", "-w", "17cm", "-m", "0.3cm", "-s", "0.8", "-O", "-", "-")
		cmd.Dir, cmd.Stdin = folder, strings.NewReader(abc)
		var out bytes.Buffer
		cmd.Stdout = &out
		if err := cmd.Run(); err != nil && out.Len() == 0 {
			return "", fmt.Errorf("abcm2ps: %w", err)
		}
		return out.String(), nil
	}
}
