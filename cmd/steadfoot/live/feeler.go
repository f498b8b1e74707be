package live

import (
	"errors"
	"fmt"
	"io"

	"steadfoot/audio/sensor"
)

// Feeler gives the rows of a sensor that is worn while a sound is heard: Rows of a
// live one, or KeptRows.
type Feeler interface {
	// Take gives the rows that are there at session time now, s, in order of their
	// times on the clock of the session.
	Take(now float64, give func(sensor.Row))
	// Fault is what went wrong since it was last asked for, in one line.
	Fault() string
	// Warnings tells at the end what was left out.
	Warnings() []string
}

// keptAheadS is how far ahead of the sound kept rows are given, s: what is felt of
// a step comes after its sound.
const keptAheadS = 1.0

// KeptRows are the rows of a recording whose times are those of a recorded sound.
type KeptRows struct {
	rows   *sensor.Reader
	next   sensor.Row
	any    bool // next is there
	ended  bool
	last   float64 // time of the last row given, s
	silent bool    // told that none comes
	broken bool    // told that none can be read
	fault  string
}

// NewKeptRows returns the rows of a recording.
func NewKeptRows(rows *sensor.Reader) *KeptRows { return &KeptRows{rows: rows} }

// Take implements Feeler.
func (k *KeptRows) Take(now float64, give func(sensor.Row)) {
	for k.fill() && k.next.T <= now+keptAheadS {
		k.last, k.any = k.next.T, false
		give(k.next)
	}
	if quiet := now-k.last > silentS; quiet && !k.silent && !k.broken {
		k.silent = true
		k.fault = fmt.Sprintf("%s: no row from %.1f s on; the walk goes on by ear", k.rows.Name(), k.last)
		if k.any {
			k.fault = fmt.Sprintf("%s: no row from %.1f s to %.1f s; its times must be those of the sound", k.rows.Name(), k.last, k.next.T)
		}
	} else if !quiet {
		k.silent = false
	}
}

// fill reads the next row, where it is not there yet.
func (k *KeptRows) fill() bool {
	if k.any || k.ended {
		return k.any
	}
	var err error
	k.next, err = k.rows.Read()
	if k.any = err == nil; !k.any {
		k.ended = true
		if !errors.Is(err, io.EOF) {
			k.fault, k.broken = err.Error()+"; the walk goes on by ear", true
		}
	}
	return k.any
}

// Fault implements Feeler.
func (k *KeptRows) Fault() string {
	what := k.fault
	k.fault = ""
	return what
}

// Warnings implements Feeler.
func (k *KeptRows) Warnings() []string { return k.rows.Warnings() }
