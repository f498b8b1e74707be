package audio

import (
	"encoding/binary"
	"os"
)

const (
	sinkHeader = 80   // bytes before the first sample
	sinkFlush  = Rate // frames between two updates of the file
)

// WAVSink is a growing WAV file: 16 bits, stereo, at Rate. Once a second of
// sound it is brought up to date on disk, header included, so that a killed
// process leaves a readable file. Past 4 GB (6.2 hours) it becomes RF64.
type WAVSink struct {
	f      *os.File
	layout layout
	buf    []byte
	size   int64 // bytes of samples in the file
	err    error
}

var _ Sink = (*WAVSink)(nil)

// CreateWAV makes the file, or empties the one that is there.
func CreateWAV(path string) (*WAVSink, error) {
	l, err := S16.layout()
	if err != nil {
		return nil, err
	}
	f, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	s := &WAVSink{f: f, layout: l, buf: make([]byte, 0, 4*sinkFlush)}
	if err := s.writeHeader(); err != nil {
		f.Close()
		return nil, err
	}
	return s, nil
}

// Write implements Sink. What is louder than full scale is held at full scale.
func (s *WAVSink) Write(frames []Frame) error {
	for _, fr := range frames {
		n := len(s.buf)
		s.buf = s.buf[:n+4]
		s.layout.put(s.buf[n:], float64(fr[0]))
		s.layout.put(s.buf[n+2:], float64(fr[1]))
		if len(s.buf) == cap(s.buf) {
			s.flush()
		}
	}
	return s.err
}

// flush writes the buffer, then the header that counts it. The first error stays.
func (s *WAVSink) flush() {
	if s.err == nil {
		_, s.err = s.f.WriteAt(s.buf, sinkHeader+s.size)
	}
	if s.err == nil {
		s.size += int64(len(s.buf))
		s.err = s.writeHeader()
	}
	s.buf = s.buf[:0]
}

// writeHeader writes the header for the present size. The JUNK chunk keeps the
// place of the ds64 chunk with the long sizes (EBU Tech 3306, RF64).
func (s *WAVSink) writeHeader() error {
	le := binary.LittleEndian
	riff, long := "RIFF", "JUNK"
	riffSize, dataSize := s.size+sinkHeader-8, s.size
	if riffSize > 0xFFFFFFFF {
		riff, long = "RF64", "ds64"
	}
	short := func(n int64) uint32 { return uint32(min(n, 0xFFFFFFFF)) }
	b := le.AppendUint32([]byte(riff), short(riffSize))
	if riff == "RF64" {
		dataSize = 0xFFFFFFFF
	}
	b = le.AppendUint32(append(b, "WAVE"+long...), 28)
	b = le.AppendUint64(b, uint64(riffSize))
	b = le.AppendUint64(b, uint64(s.size))
	b = le.AppendUint64(b, uint64(s.size/4))
	b = le.AppendUint32(b, 0) // no table of other long chunks
	b = appendFmt(b, s.layout, Rate, 2)
	b = le.AppendUint32(append(b, "data"...), short(dataSize))
	_, err := s.f.WriteAt(b, 0)
	return err
}

// Close implements Sink.
func (s *WAVSink) Close() error {
	s.flush()
	if err := s.f.Close(); s.err == nil {
		s.err = err
	}
	return s.err
}
