package audio

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// wavHeader is what a WAV file says about its samples.
type wavHeader struct {
	rate, channels int
	layout         layout
	size           int64 // bytes of sample data; negative: until the file ends
}

// endless is the smallest data size that means "not known when the header was
// written". Programs that write to a pipe put 0xFFFFFFFF or about 0x7FFFFFFF.
const endless = 0x7FFFF000

// maxChunks before the data are far more than any program writes; an endless pipe
// could go on with them.
const maxChunks = 1000

// openWAV reads WAV (RIFF, RF64 and BW64). The package has its own reader
// because the one of beep v1.1.0 halves 16- and 24-bit samples, reads neither
// float nor 32-bit ones and panics on a wrong chunk size.
func openWAV(r *bufio.Reader) (stream, error) {
	h, err := readWAVHeader(r)
	if err != nil {
		return stream{}, err
	}
	s := stream{kind: "WAV", rate: h.rate, channels: h.channels}
	if err := s.check(); err != nil {
		return s, fmt.Errorf("wrong WAV header: %w", err)
	}
	if h.size > 0 {
		s.length = h.size / int64(h.layout.bytes*h.channels)
	}
	s.decoder = newPCM(r, h.layout, h.channels, h.size)
	return s, nil
}

// readWAVHeader reads up to the first sample. Chunks it does not know are read
// over, never kept, so no size in the file can ask for memory.
func readWAVHeader(r *bufio.Reader) (h wavHeader, err error) {
	var head [12]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return h, errors.New("WAV file ends in its header")
	}
	riffSize := int64(binary.LittleEndian.Uint32(head[4:]))
	var longSize int64 // data size of an RF64 file
	haveFmt := false
	for n := 0; ; n++ {
		if n == maxChunks {
			return h, fmt.Errorf("WAV file with %d chunks before its data", n)
		}
		var chunk [8]byte
		if _, err := io.ReadFull(r, chunk[:]); err != nil {
			return h, errors.New("WAV file without a data chunk")
		}
		id, size := string(chunk[:4]), int64(binary.LittleEndian.Uint32(chunk[4:]))
		switch id {
		case "data":
			if !haveFmt {
				return h, errors.New("WAV file without a fmt chunk before its data")
			}
			h.size = dataSize(r, size, longSize, riffSize)
			return h, nil
		case "fmt ":
			haveFmt = true
			if size, err = h.readFmt(r, size); err != nil {
				return h, err
			}
		case "ds64":
			var b [16]byte
			n, _ := io.ReadFull(r, b[:min(size, 16)])
			size -= int64(n)
			longSize = int64(binary.LittleEndian.Uint64(b[8:]) & (1<<63 - 1))
		}
		skip(r, size, size&1 == 1)
	}
}

// skip reads over what is left of a chunk. Chunks of odd size are followed by
// a zero byte, which some programs forget.
func skip(r *bufio.Reader, n int64, odd bool) {
	io.CopyN(io.Discard, r, n)
	if b, err := r.Peek(1); odd && err == nil && b[0] == 0 {
		r.Discard(1)
	}
}

// dataSize decides how long the data are: what the chunk says, or, with a
// header that was never completed, until the end of the file (-1).
func dataSize(r *bufio.Reader, size, longSize, riffSize int64) int64 {
	switch {
	case size == 0xFFFFFFFF && longSize > 0:
		return longSize
	case size >= endless:
		return -1
	case size > 0:
		return size
	}
	// Size 0: the recorder was killed, or there is nothing. Only a header that
	// promises more chunks after the data is believed.
	next, err := r.Peek(4)
	if err != nil {
		return 0
	}
	switch string(next) {
	case "LIST", "INFO", "id3 ", "ID3 ", "bext", "cue ", "fact", "PEAK", "JUNK", "smpl", "_PMX", "iXML":
		if riffSize > 36 {
			return 0
		}
	}
	return -1
}

// Format tags of the fmt chunk.
const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE
)

// readFmt reads the fmt chunk and returns how much of its size is unread.
func (h *wavHeader) readFmt(r io.Reader, size int64) (int64, error) {
	var b [26]byte
	if size < 16 {
		return 0, errors.New("wrong WAV header: fmt chunk too short")
	}
	n, err := io.ReadFull(r, b[:min(size, int64(len(b)))])
	if err != nil {
		return 0, errors.New("WAV file ends in its header")
	}
	tag := binary.LittleEndian.Uint16(b[0:])
	h.channels = int(binary.LittleEndian.Uint16(b[2:]))
	h.rate = int(binary.LittleEndian.Uint32(b[4:]))
	align := int(binary.LittleEndian.Uint16(b[12:]))
	bits := int(binary.LittleEndian.Uint16(b[14:]))
	if tag == tagExtensible && n == len(b) {
		tag = binary.LittleEndian.Uint16(b[24:])
	}
	h.layout, err = wavLayout(tag, bits, align, h.channels)
	return size - int64(n), err
}

// wavLayout finds the sample format. Samples of odd width, such as 20 bits, sit
// at the high end of their bytes and so read as the next wider format.
func wavLayout(tag uint16, bits, align, channels int) (layout, error) {
	if tag != tagPCM && tag != tagFloat {
		return layout{}, unsupportedError{fmt.Errorf("WAV with coding number %d, not PCM", tag), true}
	}
	if channels == 0 {
		return layout{}, errors.New("wrong WAV header: 0 channels")
	}
	bytes := (bits + 7) / 8
	if align%channels == 0 && align/channels > bytes {
		bytes = align / channels
	}
	if align != 0 && align != bytes*channels {
		return layout{}, fmt.Errorf("wrong WAV header: %d bytes a frame do not hold %d channels of %d bits", align, channels, bits)
	}
	for _, l := range layouts {
		if l.bytes == bytes && l.float == (tag == tagFloat) && bits > 0 {
			return l, nil
		}
	}
	return layout{}, unsupportedError{fmt.Errorf("WAV with %d-bit samples", bits), true}
}
