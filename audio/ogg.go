package audio

import (
	"errors"
	"fmt"
	"io"

	"github.com/jfreymuth/oggvorbis"
)

// openOGG uses the decoder under beep's directly: beep v1.1.0 takes every pair
// of values for a stereo sample, so it plays mono files at double speed and
// those with more than two channels wrong.
func openOGG(r io.Reader) (stream, error) {
	r, err := checkVorbis(r)
	if err != nil {
		return stream{}, unsupportedError{fmt.Errorf("OGG Vorbis: %w", err), true}
	}
	// Without Seek the decoder does not go through the whole file first.
	v, err := oggvorbis.NewReader(struct{ io.Reader }{r})
	if err != nil {
		// It also refuses some that are in order, with six channels for instance.
		return stream{}, unsupportedError{errors.New("OGG Vorbis header that cannot be read"), true}
	}
	s := stream{kind: kindOGG, rate: v.SampleRate(), channels: v.Channels()}
	if err := s.check(); err != nil {
		return s, err
	}
	s.decoder = &oggDecoder{v: v, buf: make([]float32, blockSize*s.channels)}
	return s, nil
}

type oggDecoder struct {
	v   *oggvorbis.Reader
	buf []float32
}

// decode implements decoder.
func (d *oggDecoder) decode(dst []float32) (int, error) {
	channels := d.v.Channels()
	n, err := d.v.Read(d.buf[:min(len(d.buf), len(dst)*channels)])
	n /= channels
	for i := range n {
		var sum float32
		for _, x := range d.buf[i*channels : (i+1)*channels] {
			sum += x
		}
		dst[i] = sum / float32(channels)
	}
	// The decoder knows the length once it has seen the last page.
	if err == io.EOF && d.v.Length() == 0 {
		err = io.ErrUnexpectedEOF
	}
	return n, err
}
