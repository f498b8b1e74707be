package sensor

import (
	"errors"
	"fmt"
	"io"
	"math"

	"steadfoot/audio/sensor/textline"
)

// maxLine is the longest line taken, in bytes; a row of a sensor is far shorter.
const maxLine = 64 << 10

// Options says what a stream itself may not.
type Options struct {
	// Unit of the columns ax, ay, az; zero means MPS2. A header that states a
	// unit overrules it.
	Unit Unit
}

// Reader reads the rows of one stream.
type Reader struct {
	form
	lines *textline.Reader
	value [4]float64 // of the row being read
	last  float64    // time of the last row given
	tally tally
	err   error
}

// errBadValue is a value that is missing or not finite: the row is left out.
var errBadValue = errors.New("missing value")

// NewReader reads the first line of r and finds out what the stream is. The name
// is for messages.
func NewReader(name string, r io.Reader, o Options) (*Reader, error) {
	s := &Reader{lines: textline.New(name, r, maxLine), last: math.Inf(-1)}
	first, err := s.lines.Next()
	if err == io.EOF {
		return nil, fmt.Errorf("%s: empty, not even a header", name)
	}
	if err != nil {
		return nil, err
	}
	if first[0] == '{' {
		err = s.startJSON(first, layouts)
		s.lines.Again(first)
	} else {
		err = s.startCSV(first, layouts)
	}
	if err != nil {
		return nil, s.lines.Fault(err)
	}
	s.settleUnit(o.Unit)
	return s, nil
}

// Name is the name given to NewReader.
func (s *Reader) Name() string { return s.lines.Name() }

// Unit is the unit of the stream; rows are in m/s² for MPS2 and G alike.
func (s *Reader) Unit() Unit { return s.unit }

// MagnitudeOnly tells that the stream has no axes: X of every row is the
// magnitude in the stream's own unit, Y and Z are 0.
func (s *Reader) MagnitudeOnly() bool { return s.unit == Raw }

// Read returns the next row, or io.EOF after the last. Other errors name the
// stream and the line.
func (s *Reader) Read() (Row, error) {
	for s.err == nil {
		line, err := s.lines.Next()
		if err != nil {
			s.err = s.end(err)
			break
		}
		s.value = [4]float64{}
		err = s.parse(line, s.value[:len(s.layout.names)])
		if err != nil && err != errBadValue {
			if s.lines.Cut() && s.tally.rows > 0 {
				s.tally.cut = true // its writer died over it
				continue
			}
			s.err = s.lines.Fault(err)
			break
		}
		if row, ok := s.accept(err); ok {
			return row, nil
		}
	}
	return Row{}, s.err
}

// accept decides whether the row in s.value is given, and counts it.
func (s *Reader) accept(err error) (Row, bool) {
	k, v := s.unit.factor(), s.value
	row := Row{T: v[0], X: k * v[1], Y: k * v[2], Z: k * v[3]}
	switch {
	case err != nil || !finite(row.T) || !finite(row.X) || !finite(row.Y) || !finite(row.Z):
		s.tally.bad++
		return Row{}, false
	case row.T <= s.last:
		s.tally.late++
		return Row{}, false
	}
	s.tally.add(row.T, s.last)
	s.last = row.T
	return row, true
}

func finite(x float64) bool { return x-x == 0 }

// end decides what the end of the input means.
func (s *Reader) end(err error) error {
	if err != io.EOF {
		return err
	}
	switch t := s.tally; {
	case t.rows == 0:
		return fmt.Errorf("%s: no rows in it that can be used", s.lines.Name())
	case t.late > t.rows:
		return fmt.Errorf("%s: %d of %d rows are out of order; sort them by time, or split joined recordings", s.lines.Name(), t.late, t.late+t.rows)
	}
	return io.EOF
}

// Warnings tells, one line each and naming the stream, what was left out or is
// odd in the rows read so far: ask after Read has returned io.EOF.
func (s *Reader) Warnings() []string {
	all := s.tally.warnings()
	for i, w := range all {
		all[i] = s.lines.Name() + ": " + w
	}
	return all
}
