package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// progress shows how far long work has come, on a terminal only.
type progress struct {
	w     io.Writer // nil: show nothing
	next  time.Time
	shown bool
}

// newProgress shows nothing where it would mix with the output.
func newProgress(std stdio) *progress {
	p := &progress{next: time.Now().Add(time.Second)}
	if isTerminal(std.err) && !isTerminal(std.out) {
		p.w = std.err
	}
	return p
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// show brings the line up to date, a few times a second; now is how much of in
// has been heard, s.
func (p *progress) show(in *input, now float64) {
	if p.w == nil || time.Now().Before(p.next) {
		return
	}
	p.next = time.Now().Add(time.Second / 4)
	p.shown = true
	share := ""
	if s := in.sound; s != nil && s.Length() > 0 {
		share = fmt.Sprintf(" (%.0f %%)", 100*now*float64(s.Rate())/float64(s.Length()))
	}
	fmt.Fprintf(p.w, "\r%s heard%s \x1b[K", clockTime(now), share)
}

// clear takes the line away.
func (p *progress) clear() {
	if p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
