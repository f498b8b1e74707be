package audio

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"os"
)

// WriteWAV writes samples, interleaved when there is more than one channel, to
// a new WAV file. It is for short sounds; [CreateWAV] is for what grows.
func WriteWAV(path string, rate, channels int, format Format, samples []float32) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<16)
	err = EncodeWAV(w, rate, channels, format, samples)
	if err == nil {
		err = w.Flush()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return err
}

// EncodeWAV writes what WriteWAV puts in a file to w, sample by sample: give it
// a buffered writer. It fails on a sound of 4 GB or more.
func EncodeWAV(w io.Writer, rate, channels int, format Format, samples []float32) error {
	l, err := format.layout()
	if err != nil {
		return err
	}
	size := int64(len(samples)) * int64(l.bytes)
	if channels < 1 || len(samples)%channels != 0 || size > endless {
		return fmt.Errorf("cannot write %d samples in %d channels as one WAV file", len(samples), channels)
	}
	head := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(36+size+size&1))
	head = append(head, "WAVE"...)
	head = appendFmt(head, l, rate, channels)
	head = binary.LittleEndian.AppendUint32(append(head, "data"...), uint32(size))
	if _, err := w.Write(head); err != nil {
		return err
	}
	b := make([]byte, l.bytes)
	for _, x := range samples {
		l.put(b, float64(x))
		if _, err := w.Write(b); err != nil {
			return err
		}
	}
	_, err = w.Write(make([]byte, size&1))
	return err
}

// appendFmt appends a fmt chunk.
func appendFmt(b []byte, l layout, rate, channels int) []byte {
	tag := uint16(tagPCM)
	if l.float {
		tag = tagFloat
	}
	le := binary.LittleEndian
	b = le.AppendUint32(append(b, "fmt "...), 16)
	b = le.AppendUint16(b, tag)
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*channels*l.bytes))
	b = le.AppendUint16(b, uint16(channels*l.bytes))
	return le.AppendUint16(b, uint16(8*l.bytes))
}
