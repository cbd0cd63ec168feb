package main

import (
	"io"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress is a bar on a terminal for work of more than a second, and nothing
// anywhere else.
type progress struct {
	out io.Writer // nil for none
	bar *progressbar.ProgressBar
}

// newProgress prepares a bar on standard error.
func newProgress(stderr io.Writer, quiet bool) *progress {
	f, ok := stderr.(*os.File)
	if quiet || !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	return &progress{out: stderr}
}

// begin starts a bar of a number of steps.
func (p *progress) begin(what string, steps int) {
	if p.out == nil {
		return
	}
	p.bar = progressbar.NewOptions(steps,
		progressbar.OptionSetWriter(p.out),
		progressbar.OptionSetDescription(what),
		progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionSetRenderBlankState(false),
		progressbar.OptionClearOnFinish(),
	)
}

// step says that one more step is done.
func (p *progress) step() {
	if p.bar != nil {
		_ = p.bar.Add(1) // a bar that cannot be drawn is no failure
	}
}

// end removes the bar.
func (p *progress) end() {
	if p.bar != nil {
		_ = p.bar.Finish()
		p.bar = nil
	}
}

// reach says how many steps are done in all.
func (p *progress) reach(steps int) {
	if p.bar != nil {
		_ = p.bar.Set(steps)
	}
}
