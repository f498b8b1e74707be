package audio

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// Limits of what is taken for a sound; outside them the header is wrong.
const (
	minRate     = 1000   // Hz
	maxRate     = 768000 // Hz
	maxChannels = 256
)

// blockSize is the most samples a File gives at once: 43 ms at 48 kHz.
const blockSize = 2048

// decoder turns one format into mono samples.
type decoder interface {
	// decode writes samples to the start of dst and returns how many. At the
	// end it returns io.EOF, for a sound that ends before its header says
	// io.ErrUnexpectedEOF, both possibly along with samples.
	decode(dst []float32) (int, error)
}

// stream is an opened sound of some format.
type stream struct {
	decoder
	kind     string // "WAV"
	rate     int    // Hz
	channels int
	length   int64           // samples promised by the header, 0 when unknown
	close    func() error    // may be nil
	warnings func() []string // may be nil
}

// check refuses a header that no sound has.
func (s *stream) check() error {
	switch {
	case s.rate < minRate || s.rate > maxRate:
		return fmt.Errorf("sample rate %d Hz is out of range; want %d to %d", s.rate, minRate, maxRate)
	case s.channels < 1 || s.channels > maxChannels:
		return fmt.Errorf("%d channels; want 1 to %d", s.channels, maxChannels)
	}
	return nil
}

// File is a sound file, or a sound that comes through a pipe. It is a Source:
// the channels are mixed to one by their mean, the sample rate is the file's own.
//
// A sound that is damaged or cut off part way is given up to there; Warnings
// then says so. Samples that are not finite numbers are given as 0.
type File struct {
	name   string
	s      stream
	index  int64
	err    error // set once reading has ended
	damage string
	health health
	buf    [blockSize]float32
}

var _ Source = (*File)(nil)

func newFile(name string, s stream) (*File, error) {
	f := &File{name: name, s: s, health: health{rate: int64(s.rate)}}
	if err := s.check(); err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: wrong %s header: %w", name, s.kind, err)
	}
	return f, nil
}

// Name is the path it was opened with.
func (f *File) Name() string { return f.name }

// Kind is the name of the format, such as "WAV".
func (f *File) Kind() string { return f.s.kind }

// Rate is the sample rate in Hz.
func (f *File) Rate() int { return f.s.rate }

// Channels is how many channels the file has.
func (f *File) Channels() int { return f.s.channels }

// Length is the number of samples the header promises, 0 when it is not known.
func (f *File) Length() int64 { return f.s.length }

// Read implements Source. Errors name the file.
func (f *File) Read(b *Block) error {
	*b = Block{Index: f.index}
	if f.err != nil {
		return f.err
	}
	n, err := f.decode()
	if n > 0 {
		b.Samples = f.buf[:n]
		f.health.check(b.Samples)
		f.index += int64(n)
	}
	if err != nil {
		f.err = f.end(err)
	}
	if n == 0 {
		return f.err
	}
	return nil
}

// decode asks the decoder until it has samples or an error. A panic of a
// decoder on damaged input is an error like any other.
func (f *File) decode() (n int, err error) {
	defer func() {
		if p := recover(); p != nil {
			n, err = 0, fmt.Errorf("damaged %s data", f.s.kind)
		}
	}()
	for range 1000 {
		if n, err = f.s.decode(f.buf[:]); n > 0 || err != nil {
			return n, err
		}
	}
	return 0, io.ErrNoProgress
}

// end decides what the end of reading means: io.EOF when there was sound.
func (f *File) end(err error) error {
	var disk *fs.PathError
	switch {
	case errors.Is(err, context.Canceled):
		return err
	case errors.As(err, &disk):
		return disk
	case f.index == 0 && (err == io.EOF || err == io.ErrUnexpectedEOF):
		return fmt.Errorf("%s: no sound in it", f.name)
	case f.index == 0:
		return fmt.Errorf("%s: cannot be read: %w", f.name, err)
	case err == io.ErrUnexpectedEOF && f.s.length > 0:
		f.damage = fmt.Sprintf("cut off after %.1f s of the %.1f s its header promises; what is there was used",
			f.seconds(f.index), f.seconds(f.s.length))
	case err == io.ErrUnexpectedEOF:
		f.damage = fmt.Sprintf("cut off after %.1f s; what is there was used", f.seconds(f.index))
	case err != io.EOF:
		f.damage = fmt.Sprintf("damaged after %.1f s (%v); the rest was not read", f.seconds(f.index), err)
	}
	return io.EOF
}

func (f *File) seconds(n int64) float64 { return float64(n) / float64(f.s.rate) }

// Warnings tells, one line each and naming the file, what is wrong with the
// sound read so far: ask after Read has returned io.EOF.
func (f *File) Warnings() []string {
	var all []string
	if f.damage != "" {
		all = append(all, f.damage)
	}
	if f.s.warnings != nil {
		all = append(all, f.s.warnings()...)
	}
	all = append(all, f.health.warnings()...)
	for i, w := range all {
		all[i] = f.name + ": " + w
	}
	return all
}

// Close implements Source.
func (f *File) Close() error {
	if f.s.close == nil {
		return nil
	}
	c := f.s.close
	f.s.close = nil
	return c()
}
