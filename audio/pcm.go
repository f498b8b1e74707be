package audio

import (
	"fmt"
	"io"
)

// pcm decodes interleaved samples from r. One call reads r once, so that sound
// from a live pipe is passed on as it comes.
type pcm struct {
	r        io.Reader
	layout   layout
	channels int
	left     int64 // bytes still promised; negative: until r ends
	buf      []byte
	have     int // bytes in buf of a frame not yet complete
	err      error
}

func newPCM(r io.Reader, l layout, channels int, size int64) *pcm {
	return &pcm{r: r, layout: l, channels: channels, left: size, buf: make([]byte, max(1<<14, l.bytes*channels))}
}

// decode implements decoder.
func (p *pcm) decode(dst []float32) (int, error) {
	frame := p.layout.bytes * p.channels
	p.fill(min(len(dst)*frame, len(p.buf)))
	n := p.have / frame
	for i := range n {
		dst[i] = p.mix(p.buf[i*frame:])
	}
	p.have = copy(p.buf, p.buf[n*frame:p.have])
	return n, p.err
}

// fill reads once, up to size bytes in buf, and keeps the first error.
func (p *pcm) fill(size int) {
	if p.left >= 0 {
		size = int(min(int64(size), int64(p.have)+p.left))
	}
	if p.err != nil || size <= p.have {
		if p.err == nil {
			p.err = io.EOF
		}
		return
	}
	n, err := p.r.Read(p.buf[p.have:size])
	p.have += n
	if p.left >= 0 {
		p.left -= int64(n)
	}
	if err == io.EOF && p.left > 0 {
		err = io.ErrUnexpectedEOF
	}
	p.err = err
}

// mix returns the mean of the channels of the frame at the start of b.
func (p *pcm) mix(b []byte) float32 {
	if p.channels == 1 {
		return p.layout.get(b)
	}
	var sum float64
	for c := range p.channels {
		sum += float64(p.layout.get(b[c*p.layout.bytes:]))
	}
	return float32(sum / float64(p.channels))
}

// NewPCM reads samples without a header from r: so many channels at rate Hz,
// interleaved. The name is for messages. Nothing is read ahead of what Read asks
// for.
func NewPCM(name string, r io.Reader, rate, channels int, format Format) (*File, error) {
	l, err := format.layout()
	if err != nil {
		return nil, err
	}
	s := stream{kind: "raw PCM", rate: rate, channels: channels}
	if err := s.check(); err != nil {
		return nil, fmt.Errorf("raw PCM: %w", err)
	}
	s.decoder = newPCM(r, l, channels, -1)
	return newFile(name, s)
}
