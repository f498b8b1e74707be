package rsc

import (
	"errors"
	"fmt"
	"io"

	"steadfoot/audio/sensor/textline"
)

const (
	// Spacing is the time between the packets of a stream without times, s.
	// Sensors send about one a second (common practice, no source).
	Spacing = 1.0
	// Hold is how long a packet speaks for the walk when none follows, s: one
	// packet may get lost on the air.
	Hold = 2.5

	maxLine = 4 << 10 // bytes; a value on the air has at most 512
	maxJump = 86400.0 // s between packets that can be a hole in a walk
)

// Record is a measurement and when it came.
type Record struct {
	T float64 // s, on the sensor's clock
	Measurement
}

// raw is a line taken apart.
type raw struct {
	t      float64 // s
	timed  bool
	packet []byte
}

// Reader reads the packets of one stream.
type Reader struct {
	lines *textline.Reader
	parse func(line []byte, r *raw) error
	raw   raw
	timed bool
	tally tally
	err   error
}

// NewReader reads the first line of r and finds out what the stream is. The name
// is for messages.
func NewReader(name string, r io.Reader) (*Reader, error) {
	s := &Reader{lines: textline.New(name, r, maxLine)}
	first, err := s.lines.Next()
	if err == io.EOF {
		return nil, fmt.Errorf("%s: empty, not even a header", name)
	}
	if err != nil {
		return nil, err
	}
	bare := first[0] == '{'
	s.parse = parseJSON
	if !bare {
		l, header := parseHeader(first)
		if !header {
			l, bare = bareLayout(first)
		}
		if !header && !bare {
			return nil, s.lines.Fault(fmt.Errorf("no column %q, as in t_s,%[1]s", column))
		}
		s.parse = l.parse
	}
	if bare {
		s.lines.Again(first)
	}
	return s, nil
}

// Name is the name given to NewReader.
func (s *Reader) Name() string { return s.lines.Name() }

// Read returns the next packet, or io.EOF after the last. Other errors name the
// stream and the line. A packet that is not later than the one before is left
// out, and so is the last line when the input ends within it and it cannot be
// read; Warnings tells of them.
func (s *Reader) Read() (Record, error) {
	for s.err == nil {
		line, err := s.lines.Next()
		if err != nil {
			s.err = s.end(err)
			break
		}
		rec, err := s.record(line)
		switch {
		case err == nil && s.tally.add(rec):
			return rec, nil
		case err == nil:
		case s.lines.Cut() && s.tally.packets > 0:
			s.tally.cut = true // its writer died over it
		default:
			s.err = s.lines.Fault(err)
		}
	}
	return Record{}, s.err
}

// record reads one line.
func (s *Reader) record(line []byte) (rec Record, err error) {
	if err := s.parse(line, &s.raw); err != nil {
		return rec, err
	}
	if rec.Measurement, err = Decode(s.raw.packet); err != nil {
		return rec, err
	}
	first := s.tally.packets == 0
	switch {
	case first:
		s.timed = s.raw.timed
	case s.timed != s.raw.timed:
		return rec, errors.New("a time in some lines and none in others")
	}
	rec.T = s.raw.t
	if !s.timed {
		rec.T = Spacing * float64(s.tally.packets)
	}
	if jump := rec.T - s.tally.last.T; !first && jump > maxJump {
		return rec, fmt.Errorf("%.3g s after the packet before; times must be in seconds", jump)
	}
	return rec, nil
}

// end decides what the end of the input means.
func (s *Reader) end(err error) error {
	if err == io.EOF && s.tally.packets == 0 {
		return fmt.Errorf("%s: no packets in it", s.lines.Name())
	}
	if t := s.tally; err == io.EOF && t.late > t.packets {
		return fmt.Errorf("%s: %d of %d packets are out of order; sort them by time, or split joined recordings", s.lines.Name(), t.late, t.late+t.packets)
	}
	return err
}

// Warnings tells, one line each and naming the stream, what was left out or is
// odd in the packets read so far: ask after Read has returned io.EOF.
func (s *Reader) Warnings() []string {
	all := s.tally.warnings()
	for i, w := range all {
		all[i] = s.lines.Name() + ": " + w
	}
	return all
}

// Totals adds up the packets read so far.
func (s *Reader) Totals() Totals { return s.tally.totals() }
