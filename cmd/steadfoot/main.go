// Steadfoot is a cadence and rhythm coach for race walkers: it listens to
// footsteps, follows their rhythm, plays a beat and cues, and logs every walk.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/pflag"
)

// Exit statuses.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
)

// stdio is where a command reads and writes; tests hand in their own.
type stdio struct {
	in       io.Reader
	out, err io.Writer
}

// command is one verb of the program.
type command struct {
	name  string
	short string // one line for the list of commands
	run   func(ctx context.Context, std stdio, args []string) error
	quiet bool // left out of the list: not for people
}

// usageError is a wrong use of the command line; it ends with exitUsage.
type usageError struct{ msg string }

func (e usageError) Error() string { return e.msg }

func usagef(format string, a ...any) error { return usageError{fmt.Sprintf(format, a...)} }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	os.Exit(run(ctx, stdio{os.Stdin, os.Stdout, os.Stderr}, os.Args[1:]))
}

// run is the whole program but for the process around it.
func run(ctx context.Context, std stdio, args []string) int {
	if len(args) == 0 {
		printCommands(std.err)
		return exitUsage
	}
	if args[0] == "help" && len(args) == 2 {
		args = []string{args[1], "--help"}
	}
	switch args[0] {
	case "-h", "--help", "help":
		printCommands(std.out)
		return exitDone
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return exitStatus(std, c.name, c.run(ctx, std, args[1:]))
		}
	}
	return exitStatus(std, "", usagef("unknown command %q; 'steadfoot help' lists them", args[0]))
}

func exitStatus(std stdio, name string, err error) int {
	if err == nil || errors.Is(err, pflag.ErrHelp) {
		return exitDone
	}
	if name != "" {
		name = " " + name
	}
	fmt.Fprintf(std.err, "steadfoot%s: %v\n", name, err)
	var use usageError
	if errors.As(err, &use) {
		return exitUsage
	}
	return exitFailed
}

func printCommands(w io.Writer) {
	fmt.Fprintln(w, "steadfoot coaches a race walker's cadence by ear.\n\nCommands:")
	for _, c := range commands() {
		if !c.quiet {
			fmt.Fprintf(w, "  %-9s %s\n", c.name, c.short)
		}
	}
	fmt.Fprintln(w, "\n'steadfoot COMMAND --help' explains one, with examples.")
}
