package wire

import (
	"encoding/binary"
	"math"
	"time"

	"steadfoot/audio"
)

// Flags of a block: what the device reported since the block before.
const (
	InputUnderflow  = 1 << iota // the device put zeros into the input
	InputOverflow               // the device dropped input before this block
	OutputUnderflow             // the device ran out of output and played a gap
	OutputOverflow              // the device dropped output
	Priming                     // output only fills the device's buffers
)

// Xrun is every flag after which the frame count may no longer be time.
const Xrun = InputUnderflow | InputOverflow | OutputUnderflow | OutputOverflow

// BlockHead describes one run of input samples.
type BlockHead struct {
	// Index is the place of the first sample on the clock that Go started; it
	// counts lost samples too.
	Index int64
	// Frames is how many samples the block stands for.
	Frames int
	// Flags is what the device reported.
	Flags uint32
	// Clock is the sound process's monotonic clock at the callback, in ns.
	Clock int64
	// ADC, Now and DAC are the device's own times, in ns: the first sample at
	// the microphone, the callback, the first output sample at the earphone.
	// 0 is unknown; the base differs from device to device and may step.
	ADC, Now, DAC int64
	// Missing counts output samples, since Go, that were played as silence as
	// nothing had been written for them in time.
	Missing int64
	// Late counts written output samples, since Go, that came after their time.
	Late int64
	// Sent is the sound process's monotonic clock when the block left it, in ns.
	Sent int64
	// Drift is how much faster than the microphone's clock that of the earphones
	// runs, in millionths, and DriftSD its standard error; 0 and 0 are unknown.
	Drift, DriftSD float64
}

const blockHeadSize = 96

// Age is how long before the callback the block's last sample was captured, by
// the device's own times; 0 where they do not tell.
func (h *BlockHead) Age() time.Duration { return Age(h.ADC, h.Now, h.Frames) }

// Age is the age of the last of n samples in a callback at the device's time
// now, in ns, whose first one was captured at adc; 0 where that is not known.
func Age(adc, now int64, n int) time.Duration {
	d := time.Duration(now - adc)
	if adc == 0 || now == 0 || d < -time.Second || d > time.Minute {
		return 0
	}
	return d - time.Duration(n)*time.Second/audio.Rate
}

// Block writes a block. Without samples it stands for h.Frames of silence.
func (w *Writer) Block(h *BlockHead, samples []float32) error {
	w.begin(Block)
	b := w.buf
	for _, v := range [...]int64{h.Index, int64(h.Frames), int64(h.Flags), h.Clock, h.ADC, h.Now, h.DAC, h.Missing, h.Late, h.Sent} {
		b = binary.LittleEndian.AppendUint64(b, uint64(v))
	}
	for _, v := range [...]float64{h.Drift, h.DriftSD} {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	for _, v := range samples {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	w.buf = b
	return w.send()
}

// DecodeBlock reads a Block's payload. The samples are put into dst from its
// beginning; dst grows when it is too small and is returned.
func DecodeBlock(p []byte, h *BlockHead, dst []float32) ([]float32, error) {
	if len(p) < blockHeadSize {
		return dst[:0], errNotFrame
	}
	at := func(i int) int64 { return int64(binary.LittleEndian.Uint64(p[8*i:])) }
	frames := at(1)
	body := p[blockHeadSize:]
	if frames < 0 || frames > (MaxPayload-blockHeadSize)/4 || len(body) != 0 && int64(len(body)) != 4*frames {
		return dst[:0], errNotFrame
	}
	*h = BlockHead{at(0), int(frames), uint32(at(2)), at(3), at(4), at(5), at(6), at(7), at(8), at(9),
		math.Float64frombits(uint64(at(10))), math.Float64frombits(uint64(at(11)))}
	dst = resize(dst, h.Frames)
	if len(body) == 0 {
		clear(dst)
		return dst, nil
	}
	for i := range dst {
		dst[i] = math.Float32frombits(binary.LittleEndian.Uint32(body[4*i:]))
	}
	return dst, nil
}

// Output writes stereo frames to be played from sample index on.
func (w *Writer) Output(index int64, frames []audio.Frame) error {
	w.begin(Output)
	b := binary.LittleEndian.AppendUint64(w.buf, uint64(index))
	for _, f := range frames {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(f[0]))
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(f[1]))
	}
	w.buf = b
	return w.send()
}

// DecodeOutput reads an Output's payload; dst is used as in DecodeBlock.
func DecodeOutput(p []byte, dst []audio.Frame) (index int64, frames []audio.Frame, err error) {
	if len(p) < 8 || (len(p)-8)%8 != 0 {
		return 0, dst[:0], errNotFrame
	}
	index = int64(binary.LittleEndian.Uint64(p))
	if index < -1<<60 || index > 1<<60 {
		return 0, dst[:0], errNotFrame
	}
	p = p[8:]
	dst = resize(dst, len(p)/8)
	for i := range dst {
		dst[i][0] = math.Float32frombits(binary.LittleEndian.Uint32(p[8*i:]))
		dst[i][1] = math.Float32frombits(binary.LittleEndian.Uint32(p[8*i+4:]))
	}
	return index, dst, nil
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
