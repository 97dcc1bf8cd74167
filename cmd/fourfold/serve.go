package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"slices"
	"syscall"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"

	"fourfold/lsp"
	"fourfold/lsp/protocol"
)

const serveUsage = `usage: fourfold serve [--log FILE] [--verbose] [--columns ENCODING]

Speaks the Language Server Protocol on standard input and output, for an editor
to start. The log goes to standard error, or to FILE.
With --columns utf-8 or utf-32, columns are bytes or characters also for an editor that
does not ask for that, but counts so all the same: ALE and older lsp-mode do.
`

// runServe is the language server. Its exit code is 0 after a proper shutdown
// or a signal to end, 1 when the editor went without a word, 2 for wrong usage.
func runServe(args []string, stdout, stderr io.Writer) int {
	flags := newFlags("serve", serveUsage, stderr)
	file := flags.String("log", "", "")
	verbose := flags.Bool("verbose", false, "")
	columns := flags.String("columns", "", "")
	words, code, ok := parseFlags(flags, args, stderr) // standard output is the protocol's
	if !ok {
		return code
	}
	if len(words) > 0 {
		return wrongUsage(stderr, "serve", "it takes no file: the editor sends the score")
	}
	if !slices.Contains([]string{"", protocol.UTF8, protocol.UTF16, protocol.UTF32}, *columns) {
		fmt.Fprintf(stderr, "fourfold serve: --columns %s: columns can be counted in utf-8, utf-16 or utf-32\n", *columns)
		return 2
	}
	log, closeLog, err := openLog(*file, *verbose, stderr)
	if err != nil {
		fmt.Fprintf(stderr, "fourfold serve: %v\n", err)
		return 2
	}
	defer closeLog()

	// Some editors end a server with a signal alone, or close the pipe first:
	// both are quiet ends.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	paceCollection()
	keepOneFree()
	return lsp.Serve(ctx, stdio{os.Stdin, stdout}, lsp.Options{Log: log, Version: version(), Columns: *columns})
}

// keepOneFree gives the scheduler one processor more than the machine has. The goroutine
// that reads standard input stands in a system call and keeps its processor until that is
// noticed; while a score is read in the background on the other, an answer would wait for
// that, up to ten milliseconds on a machine with two.
func keepOneFree() {
	if os.Getenv("GOMAXPROCS") == "" {
		runtime.GOMAXPROCS(runtime.GOMAXPROCS(0) + 1)
	}
}

// openLog makes the log; standard output is never written to.
func openLog(file string, verbose bool, stderr io.Writer) (*zap.Logger, func(), error) {
	out, done := stderr, func() {}
	if file != "" {
		f, err := os.OpenFile(file, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
		if err != nil {
			return nil, nil, err
		}
		out, done = f, func() { _ = f.Close() }
	}
	level := zapcore.InfoLevel
	if verbose {
		level = zapcore.DebugLevel
	}
	config := zap.NewProductionEncoderConfig()
	config.EncodeTime = zapcore.ISO8601TimeEncoder
	config.EncodeDuration = zapcore.StringDurationEncoder
	core := zapcore.NewCore(zapcore.NewConsoleEncoder(config), zapcore.Lock(zapcore.AddSync(out)), level)
	return zap.New(core), done, nil
}

// stdio joins the two pipes of the process. Closing it ends reading; what is
// being written may still go out.
type stdio struct {
	*os.File
	out io.Writer
}

func (s stdio) Write(p []byte) (int, error) { return s.out.Write(p) }
