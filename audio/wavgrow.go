package audio

import (
	"encoding/binary"
	"os"
)

const growHeader = 80 // bytes before the first sample

// growingWAV is a WAV file that is written from its start to its end and can be
// read at any time: once a second of sound it is brought up to date on disk,
// header included, so that a killed process leaves a readable file. Past 4 GB it
// becomes RF64.
type growingWAV struct {
	f        *os.File
	layout   layout
	rate     int // Hz
	channels int
	buf      []byte // a second of sound, waiting
	size     int64  // bytes of samples in the file
	tail     int64  // bytes of other chunks after them
	err      error  // the first one stays
}

// startWAV makes f, which is empty, a WAV file of 16 bits.
func startWAV(f *os.File, rate, channels int) (*growingWAV, error) {
	l, err := S16.layout()
	if err != nil {
		return nil, err
	}
	g := &growingWAV{f: f, layout: l, rate: rate, channels: channels}
	g.buf = make([]byte, 0, rate*g.frame())
	return g, g.writeHeader()
}

// frame is the size of one sample of every channel, in bytes.
func (g *growingWAV) frame() int { return g.channels * g.layout.bytes }

// put adds one sample of one channel. What is louder than full scale is held at
// full scale.
func (g *growingWAV) put(x float32) {
	n := len(g.buf)
	g.buf = g.buf[:n+g.layout.bytes]
	g.layout.put(g.buf[n:], float64(x))
	if len(g.buf) == cap(g.buf) {
		g.flush()
	}
}

// flush writes the buffer, then the header that counts it.
func (g *growingWAV) flush() {
	if g.err == nil {
		_, g.err = g.f.WriteAt(g.buf, growHeader+g.size)
	}
	if g.err == nil {
		g.size += int64(len(g.buf))
		g.err = g.writeHeader()
	}
	g.buf = g.buf[:0]
}

// writeHeader writes the header for the present size. The JUNK chunk keeps the
// place of the ds64 chunk with the long sizes (EBU Tech 3306, RF64).
func (g *growingWAV) writeHeader() error {
	le := binary.LittleEndian
	riff, long := "RIFF", "JUNK"
	riffSize, dataSize := growHeader-8+g.size+g.tail, g.size
	if riffSize > 0xFFFFFFFF || g.tail > 0 && g.size >= endless { // many readers take such a size for "to the end"
		riff, long = "RF64", "ds64"
	}
	short := func(n int64) uint32 { return uint32(min(n, 0xFFFFFFFF)) }
	b := le.AppendUint32([]byte(riff), short(riffSize))
	if riff == "RF64" {
		dataSize = 0xFFFFFFFF
	}
	b = le.AppendUint32(append(b, "WAVE"+long...), 28)
	b = le.AppendUint64(b, uint64(riffSize))
	b = le.AppendUint64(b, uint64(g.size))
	b = le.AppendUint64(b, uint64(g.size/int64(g.frame())))
	b = le.AppendUint32(b, 0) // no table of other long chunks
	b = appendFmt(b, g.layout, g.rate, g.channels)
	b = le.AppendUint32(append(b, "data"...), short(dataSize))
	_, err := g.f.WriteAt(b, 0)
	return err
}

// close brings the file up to date and closes it.
func (g *growingWAV) close() error {
	g.flush()
	if err := g.f.Close(); g.err == nil {
		g.err = err
	}
	return g.err
}
