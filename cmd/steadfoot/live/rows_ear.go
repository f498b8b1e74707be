package live

import (
	"math"

	"steadfoot/audio/sensor"
	"steadfoot/detect"
)

const (
	pauseS = 0.5 // s without a row: time goes on by itself
	yieldS = 1.0 // s that a row may come late and still be taken
)

// RowsEar feels steps in the rows of a live sensor. Where that falls silent the
// walk goes on, and hears nothing.
type RowsEar struct {
	rows *Rows
	det  *detect.Motion
	tick Tick
	give func(sensor.Row) // takes a row

	dst  []detect.Event
	now  float64
	rowT float64 // time of the last row, s
	came float64 // when it came by the tick, s
	any  bool
}

// NewRowsEar returns an ear for rows that is moved on by tick; first names the
// first foot of a stretch.
func NewRowsEar(rows *Rows, tick Tick, first detect.Side) (*RowsEar, error) {
	det, err := detect.NewMotion(detect.MotionConfig{FirstFoot: first})
	if err != nil {
		return nil, err
	}
	e := &RowsEar{rows: rows, det: det, tick: tick}
	e.dst = det.Lose(nil, 0) // the session begins now, whenever a row comes
	e.give = e.feel
	return e, nil
}

// Next implements Ear. A piece is what comes in one tick.
func (e *RowsEar) Next(dst []detect.Event) ([]detect.Event, error) {
	now, err := e.tick()
	if err != nil {
		return dst, err
	}
	e.dst = dst
	e.any = false
	e.rows.Take(now, e.give)
	if e.any {
		e.came = now
	}
	e.dst = e.det.Lose(e.dst, now-yieldS)
	switch {
	case e.rows.align != nil:
		e.now = now
	case e.any:
		e.now = math.Max(e.now, e.rowT)
	case now-e.came > pauseS:
		e.now = math.Max(e.now, e.rowT+now-e.came)
	}
	return e.dst, nil
}

// feel takes a row.
func (e *RowsEar) feel(r sensor.Row) {
	e.any, e.rowT = true, r.T
	// A row that comes after its time was given up is left out.
	e.dst, _ = e.det.Feed(e.dst, r.T, r.X, r.Y, r.Z)
}

// Flush implements Ear.
func (e *RowsEar) Flush(dst []detect.Event) []detect.Event { return e.det.Flush(dst) }

// Now implements Ear.
func (e *RowsEar) Now() float64 { return e.now }

// Fault implements Ear.
func (e *RowsEar) Fault() string { return e.rows.Fault() }

// Warnings tells at the end what was left out.
func (e *RowsEar) Warnings() []string { return e.rows.Warnings() }

// Watch implements Watched.
func (e *RowsEar) Watch(look func(detect.Inside)) { e.det.Watch(look) }
