package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"
)

// newFlags makes the flag set of a command. head is the first line of its
// help, body the explanation and the examples that follow it.
func newFlags(std stdio, name, head, body string) *pflag.FlagSet {
	fs := pflag.NewFlagSet(name, pflag.ContinueOnError)
	fs.SortFlags = false
	fs.SetOutput(io.Discard)
	fs.Usage = func() {
		fmt.Fprintf(std.out, "Usage: steadfoot %s\n\n%s\n\nFlags:\n%s", head, strings.TrimSpace(body), fs.FlagUsagesWrapped(80))
	}
	return fs
}

// parseFlags reads args and returns what is left over; it turns every mistake
// into a usage error that names the way out.
func parseFlags(fs *pflag.FlagSet, args []string, least, most int) ([]string, error) {
	if err := fs.Parse(args); err != nil {
		if errors.Is(err, pflag.ErrHelp) {
			return nil, err
		}
		return nil, usagef("%v; see 'steadfoot %s --help'", err, fs.Name())
	}
	rest := fs.Args()
	switch {
	case len(rest) > most:
		return nil, usagef("unexpected argument %q; see 'steadfoot %s --help'", rest[most], fs.Name())
	case len(rest) < least:
		return nil, usagef("an argument is missing; see 'steadfoot %s --help'", fs.Name())
	}
	return rest, nil
}
