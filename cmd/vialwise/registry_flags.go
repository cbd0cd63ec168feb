package main

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"vialwise/bioassay/registry"
)

// whoFlag names the person who changes a registry.
type whoFlag struct {
	name string
	cmd  *cobra.Command
}

func (f *whoFlag) register(cmd *cobra.Command) {
	f.cmd = cmd
	cmd.Flags().StringVar(&f.name, "who", "", "who makes the change, for the history (default: the name of the account)")
}

// person returns the name. The history must not have a blank one.
func (f *whoFlag) person() (string, error) {
	if name := strings.TrimSpace(f.name); name != "" {
		return name, nil
	}
	if name := accountName(); name != "" && !f.cmd.Flags().Changed("who") {
		return name, nil
	}
	return "", usageError{errors.New("nobody is named as the one who makes the change; say it with --who, as in --who \"A. Keeper\"")}
}

// read opens the registry for what changes nothing. It is opened for writing
// nevertheless where that is possible: only then does SQLite take away the files
// of its log when the registry is closed.
func (f *registryFlags) read() (*registry.Registry, error) {
	r, err := f.open(registry.Options{})
	if errors.Is(err, registry.NotWritable) || errors.Is(err, registry.DiskFull) {
		return f.open(registry.Options{ReadOnly: true})
	}
	return r, err
}

// counting is what a registry tells its progress to. The bar begins when the
// number of steps is known.
func (p *progress) counting(what string) func(done, total int) {
	return func(done, total int) {
		if p.bar == nil {
			p.begin(what, total)
		}
		p.reach(done)
	}
}

// isThere says that the file exists. Whether it is a registry shows when it is
// opened.
func (f *registryFlags) isThere() bool {
	_, err := os.Stat(f.file())
	return err == nil
}

// spare refuses an answer that would replace the registry.
func (f *registryFlags) spare(o *outputFlags) error {
	out, err := os.Stat(o.out)
	if err != nil {
		return nil
	}
	if own, err := os.Stat(f.file()); err == nil && os.SameFile(own, out) {
		return usageError{fmt.Errorf("--out %s would overwrite the registry; choose another name", o.out)}
	}
	return nil
}

// shown is a name as a message may show it: what cannot be printed is escaped,
// so that no name can steer a terminal.
func shown(s string) string {
	if strings.ContainsFunc(s, func(r rune) bool { return !strconv.IsPrint(r) }) {
		return strconv.Quote(s)
	}
	return s
}
