package audio

import (
	"errors"
	"io"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
)

// openFLAC uses the decoder under beep's directly: beep v1.1.0 scales 8, 16
// and 24 bits rightly but panics on other depths, drops all channels after the
// second, and does not give a frame the depth that only the file header states.
func openFLAC(r io.Reader) (stream, error) {
	f, err := flac.New(r)
	if err != nil {
		return stream{}, errors.New("wrong FLAC header")
	}
	return stream{
		kind:     kindFLAC,
		rate:     int(f.Info.SampleRate),
		channels: int(f.Info.NChannels),
		length:   int64(f.Info.NSamples),
		decoder:  &flacDecoder{f: f},
	}, nil
}

type flacDecoder struct {
	f     *flac.Stream
	frame *frame.Frame
	pos   int // next sample of frame
	total uint64
}

// decode implements decoder.
func (d *flacDecoder) decode(dst []float32) (int, error) {
	if d.frame == nil {
		if err := d.next(); err != nil {
			return 0, err
		}
	}
	n := min(len(dst), int(d.frame.BlockSize)-d.pos)
	scale := 1 / (float64(len(d.frame.Subframes)) * float64(uint64(1)<<(d.frame.BitsPerSample-1)))
	for i := range n {
		var sum float64
		for _, c := range d.frame.Subframes {
			sum += float64(c.Samples[d.pos+i])
		}
		dst[i] = float32(sum * scale)
	}
	d.pos += n
	d.total += uint64(n)
	if d.pos == int(d.frame.BlockSize) {
		d.frame = nil
	}
	return n, nil
}

// next reads a frame. A frame without a depth of its own has the file's.
func (d *flacDecoder) next() error {
	f, err := d.f.Next()
	if err == io.EOF && d.total < d.f.Info.NSamples {
		return io.ErrUnexpectedEOF
	}
	if err != nil {
		return err
	}
	if f.BitsPerSample == 0 {
		f.BitsPerSample = d.f.Info.BitsPerSample
	}
	if err := f.Parse(); err != nil {
		return err
	}
	d.frame, d.pos = f, 0
	return nil
}
