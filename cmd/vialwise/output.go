package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"vialwise/cmd/vialwise/internal/render"
)

// outputFlags say where an answer goes and in which format.
type outputFlags struct {
	format, out string
	quiet       bool
	formats     []string // to choose from; those of render.Formats unless stated
	cmd         *cobra.Command
}

func (o *outputFlags) register(cmd *cobra.Command) {
	if o.formats == nil {
		o.formats = render.Formats()
	}
	o.cmd = cmd
	flags := cmd.Flags()
	flags.StringVar(&o.format, "format", "text", "format of the answer: "+strings.Join(o.formats, ", "))
	flags.StringVar(&o.out, "out", "", "write the answer to this file instead of standard output")
	flags.BoolVar(&o.quiet, "quiet", false, "no remarks on standard error")
	// completion for the closed list; an error here is a programmer's mistake
	if err := cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(o.formats, cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(err)
	}
}

// check looks at the flags before anything is read. An answer must not replace
// a table that it stems from.
func (o *outputFlags) check(files ...string) error {
	if out, err := os.Stat(o.out); err == nil {
		for _, file := range files {
			if in, err := os.Stat(file); err == nil && os.SameFile(in, out) {
				return usageError{fmt.Errorf("--out %s would overwrite the count table %s; choose another name", o.out, file)}
			}
		}
	}
	if !slices.Contains(o.formats, o.format) {
		return usageError{fmt.Errorf("unknown format %q; use one of %s", o.format, strings.Join(o.formats, ", "))}
	}
	return o.checkTerminal()
}

// checkTerminal refuses to fill a terminal with what it cannot show.
func (o *outputFlags) checkTerminal() error {
	if o.out != "" || !slices.Contains(fileFormats(), o.format) || !isTerminal(o.cmd.OutOrStdout()) {
		return nil
	}
	return usageError{fmt.Errorf("format %s is a file to open, not one for a terminal; name it with --out, as in --out results.%[1]s", o.format)}
}

// isTerminal says that somebody would read the stream as it comes.
var isTerminal = func(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// deliver renders an answer whole before any of it is written.
func (o *outputFlags) deliver(stdout io.Writer, write func(io.Writer) error) error {
	var answer bytes.Buffer
	if err := write(&answer); err != nil {
		return err
	}
	if o.out == "" {
		_, err := stdout.Write(answer.Bytes())
		return err
	}
	return writeFile(o.out, answer.Bytes())
}

// writeFile replaces a file whole or leaves it as it was. A device or a pipe
// is written to, for it must not be replaced.
func writeFile(path string, data []byte) error {
	return writeFileBy(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// writeFileBy does so with what a function writes.
func writeFileBy(path string, write func(io.Writer) error) (err error) {
	info, err := os.Stat(path)
	if err == nil && info.IsDir() {
		return fmt.Errorf("cannot write %s: it is a folder; choose the name of a file with --out", path)
	}
	if folder := filepath.Dir(path); err != nil {
		if _, err := os.Stat(folder); err != nil {
			return fmt.Errorf("cannot write %s: there is no folder %s; create it or choose another with --out", path, folder)
		}
	}
	if err == nil && !info.Mode().IsRegular() {
		return writeDevice(path, write)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".vialwise-*")
	if err != nil {
		cause := err
		if e := (*os.PathError)(nil); errors.As(err, &e) {
			cause = e.Err // without the name of the file that is not there yet
		}
		return fmt.Errorf("cannot write %s: %w; choose a folder that may be written to", path, cause)
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
			err = fmt.Errorf("cannot write %s: %w", path, err)
		}
	}()
	if err = write(f); err == nil {
		err = f.Chmod(0o644)
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// writeDevice writes to what is no regular file.
func writeDevice(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_TRUNC, 0)
	if err == nil {
		err = write(f)
		if closed := f.Close(); err == nil {
			err = closed
		}
	}
	if err != nil {
		return fmt.Errorf("cannot write: %w; choose the name of a file with --out", err)
	}
	return nil
}
