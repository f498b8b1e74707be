package audio

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
)

// Open opens the sound file at path, whatever its name ends in: WAV, FLAC, MP3
// and OGG Vorbis are read here, anything else by ffmpeg where it is installed.
// An error is one line that names the file.
func Open(path string) (*File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	if st, err := f.Stat(); err == nil && st.IsDir() {
		f.Close()
		return nil, fmt.Errorf("%s: a folder, not a sound file", path)
	}
	s, err := openStream(bufio.NewReaderSize(f, 1<<16))
	s.close = f.Close
	var foreign unsupportedError
	if errors.As(err, &foreign) {
		f.Close()
		s, err = openFFmpeg("file:"+path, nil, foreign)
	}
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return newFile(path, s)
}

// NewReader reads a sound in any format Open knows from r, for instance a pipe.
// The name is for messages. Closing the File does not close r.
func NewReader(name string, r io.Reader) (*File, error) {
	br := bufio.NewReaderSize(r, 1<<16)
	s, err := openStream(br)
	var foreign unsupportedError
	switch {
	case errors.As(err, &foreign) && foreign.consumed:
		err = fmt.Errorf("%w; ffmpeg may read it from a file, but not from a pipe", err)
	case foreign.error != nil:
		s, err = openFFmpeg("pipe:0", br, foreign)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return newFile(name, s)
}

// Errors for an input that does not start like a sound; they come wrapped.
var (
	ErrText    = errors.New("text, not a sound")
	ErrUnknown = errors.New("not WAV, FLAC, MP3 (MPEG-1) or OGG Vorbis")
)

// unsupportedError is a sound that may be in order, but is not read here.
type unsupportedError struct {
	error
	consumed bool // its start has been read, so nobody else can read it from a pipe
}

func (e unsupportedError) Unwrap() error { return e.error }

// openStream finds out the format and reads the header. The decoders of other
// people may panic on a damaged one; that is an error like any other.
func openStream(r *bufio.Reader) (s stream, err error) {
	kind := sniff(r)
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("damaged %s header", kind)
		}
	}()
	switch kind {
	case kindWAV:
		return openWAV(r)
	case kindFLAC:
		return openFLAC(r)
	case kindOGG:
		return openOGG(r)
	case kindMP3:
		return openMP3(r)
	case kindEmpty:
		return s, errors.New("empty file")
	case kindText:
		return s, ErrText
	}
	return s, unsupportedError{error: ErrUnknown}
}
