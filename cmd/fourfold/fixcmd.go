package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fourfold/analysis/rules"
)

// fixPrinter is what check --fix does with a score: it fixes the findings shown
// that are warnings or worse, or all of the rules that were named, and prints the
// change as a unified diff or writes it into the file. What stays is told on stderr.
type fixPrinter struct {
	call   *checkCall
	w      io.Writer
	stderr io.Writer
	write  bool
	left   []rules.Finding // of the file before
}

// wants says whether a finding is to be fixed.
func (p *fixPrinter) wants(f rules.Finding) bool {
	return len(p.call.shown([]rules.Finding{f})) > 0 && (len(p.call.rules) > 0 || f.Severity <= rules.Warning)
}

func (p *fixPrinter) file(ctx context.Context, c checked) error {
	outcome := c.reading.FixAll(ctx, p.wants)
	p.left = nil
	for _, l := range outcome.Left {
		p.left = append(p.left, l.Finding)
	}
	before := c.reading.Text()
	name := fmt.Sprintf("%s: %s", c.name, fixedWords(len(outcome.Fixed), len(outcome.Left)))
	for _, l := range outcome.Left {
		name += fmt.Sprintf("\n  stays, bar %d: %s. %s", l.Finding.Bar, l.Finding.Rule, l.Why)
	}
	if _, err := fmt.Fprintln(p.stderr, name); err != nil {
		return err
	}
	if bytes.Equal(before, outcome.After) {
		return nil
	}
	if !p.write {
		_, err := io.WriteString(p.w, unified(c.name, before, outcome.After))
		return err
	}
	if err := replaceFile(c.name, before, outcome.After); err != nil {
		return &unwritten{c.name, err}
	}
	return nil
}

// unwritten is a file that could not be written; others may.
type unwritten struct {
	name string
	err  error
}

func (u *unwritten) Error() string { return fmt.Sprintf("%s is not written: %v", u.name, cause(u.err)) }

func (u *unwritten) Unwrap() error { return u.err }

func fixedWords(fixed, left int) string {
	return fmt.Sprintf("%d fixed, %d left", fixed, left)
}

func (p *fixPrinter) end() error { return nil }

var (
	errChanged = errors.New("the file has changed meanwhile: it is left as it is; call again")
	errNoFile  = errors.New("only an ordinary file can be written: it is left as it is; leave out --write and apply the diff")
	errLocked  = errors.New("the file is write-protected: it is left as it is; allow writing, or leave out --write and apply the diff")
)

// replaceFile writes a text in the place of another, whole or not at all: into a
// file beside it that then takes its name, its permissions and, where that is allowed,
// its owner. A link stays a link.
func replaceFile(name string, before, after []byte) (err error) {
	if name, err = filepath.EvalSymlinks(name); err != nil {
		return err
	}
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return errNoFile
	}
	if info.Mode().Perm()&0o200 == 0 {
		return errLocked // taking its name would go round the protection
	}
	beside, err := os.CreateTemp(filepath.Dir(name), ".fourfold-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(beside.Name()))
		}
	}()
	_, err = beside.Write(after)
	if err == nil {
		keepOwner(beside, info)
		err = beside.Chmod(info.Mode().Perm())
	}
	if err == nil {
		err = beside.Sync()
	}
	if err = errors.Join(err, beside.Close()); err != nil {
		return err
	}
	now, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, before) {
		return errChanged
	}
	return os.Rename(beside.Name(), name)
}
