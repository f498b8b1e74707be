package main

import (
	"context"
	"fmt"

	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

// troubles tells the walk, once each, what is wrong with the disks it is kept on
// and with the battery.
func troubles(log *logbook.Writer, kept *keptSound, battery *batteryWatch) func() event.Fault {
	told := false
	return func() event.Fault {
		if err := log.Err(); err != nil && !told {
			told = true
			return event.Fault{Code: event.FaultLog, What: fmt.Sprintf("trouble with the log: %v; the walk goes on, and what is not stored is kept in memory and tried again", err)}
		}
		if f := battery.trouble(); f.What != "" {
			return f
		}
		return event.Fault{Code: event.FaultLog, What: kept.trouble()}
	}
}

// untilStored says what became of a log that had trouble. One that cannot be
// stored yet is tried again where somebody sees it and can make room, until ctx is
// done or, where that ended the walk, the program is ended.
func untilStored(ctx context.Context, std stdio, o walkOptions, log *logbook.Writer, err error) error {
	if err != nil && isTerminal(std.err) {
		o.warn(std, "%s\nThe walk is in memory. It is tried again until it is stored; Ctrl-C gives it up.", oneLine(err.Error()))
		for done := ctx.Err() != nil; err != nil && (done || ctx.Err() == nil); {
			err = log.End()
		}
	}
	if err == nil && log.Err() != nil {
		fmt.Fprintf(std.err, "There was trouble with the log: %s. The walk is stored now.\n", oneLine(log.Err().Error()))
	}
	return err
}
