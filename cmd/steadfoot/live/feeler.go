package live

import (
	"io"

	"steadfoot/audio/sensor"
)

// Feeler gives the rows of a sensor that is worn while a sound is heard.
type Feeler interface {
	// Take gives the rows that are there at session time now, s, in order of their
	// times on the clock of the session.
	Take(now float64, give func(sensor.Row))
	// Fault is what went wrong since it was last asked for, in one line.
	Fault() string
}

// keptAheadS is how far ahead of the sound kept rows are given, s: what is felt of
// a step may come after its sound.
const keptAheadS = 1.0

// KeptRows are the rows of a recording whose times are those of a recorded sound.
type KeptRows struct {
	rows  *sensor.Reader
	next  sensor.Row
	any   bool
	ended bool
	fault string
}

// NewKeptRows returns the rows of a recording.
func NewKeptRows(rows *sensor.Reader) *KeptRows { return &KeptRows{rows: rows} }

// Take implements Feeler.
func (k *KeptRows) Take(now float64, give func(sensor.Row)) {
	for !k.ended {
		if !k.any {
			var err error
			if k.next, err = k.rows.Read(); err != nil {
				k.ended = true
				if err != io.EOF {
					k.fault = err.Error() + "; the walk goes on without the sensor"
				}
				return
			}
			k.any = true
		}
		if k.next.T > now+keptAheadS {
			return
		}
		give(k.next)
		k.any = false
	}
}

// Fault implements Feeler.
func (k *KeptRows) Fault() string {
	what := k.fault
	k.fault = ""
	return what
}
