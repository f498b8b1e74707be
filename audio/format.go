package audio

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
)

// Format is how one sample is stored, named as many tools name raw PCM.
type Format string

// The formats of raw PCM and of WAV files. Whole numbers span full scale ±1.
const (
	U8  Format = "u8"    // 8-bit, 128 is zero
	S16 Format = "s16le" // 16-bit, little-endian, and so on
	S24 Format = "s24le"
	S32 Format = "s32le"
	F32 Format = "f32le" // IEEE 754, full scale ±1
	F64 Format = "f64le"
)

// layout is what a Format means.
type layout struct {
	format Format
	bytes  int  // of one sample
	float  bool // IEEE 754
	get    func(p []byte) float32
	put    func(p []byte, x float64)
}

var layouts = []layout{
	{U8, 1, false,
		func(p []byte) float32 { return (float32(p[0]) - 128) / 128 },
		func(p []byte, x float64) { p[0] = byte(quantise(x, 8) + 128) }},
	{S16, 2, false,
		func(p []byte) float32 { return float32(int16(binary.LittleEndian.Uint16(p))) / (1 << 15) },
		func(p []byte, x float64) { binary.LittleEndian.PutUint16(p, uint16(quantise(x, 16))) }},
	{S24, 3, false,
		func(p []byte) float32 {
			return float32(int32(p[0])<<8|int32(p[1])<<16|int32(p[2])<<24) / (1 << 31)
		},
		func(p []byte, x float64) {
			v := quantise(x, 24)
			p[0], p[1], p[2] = byte(v), byte(v>>8), byte(v>>16)
		}},
	{S32, 4, false,
		func(p []byte) float32 { return float32(int32(binary.LittleEndian.Uint32(p))) / (1 << 31) },
		func(p []byte, x float64) { binary.LittleEndian.PutUint32(p, uint32(quantise(x, 32))) }},
	{F32, 4, true,
		func(p []byte) float32 { return math.Float32frombits(binary.LittleEndian.Uint32(p)) },
		func(p []byte, x float64) { binary.LittleEndian.PutUint32(p, math.Float32bits(float32(x))) }},
	{F64, 8, true,
		func(p []byte) float32 { return float32(math.Float64frombits(binary.LittleEndian.Uint64(p))) },
		func(p []byte, x float64) { binary.LittleEndian.PutUint64(p, math.Float64bits(x)) }},
}

// layout looks f up.
func (f Format) layout() (layout, error) {
	var names []string
	for _, l := range layouts {
		if l.format == f {
			return l, nil
		}
		names = append(names, string(l.format))
	}
	return layout{}, fmt.Errorf("sample format %q: want one of %s", string(f), strings.Join(names, ", "))
}

// quantise rounds x, full scale ±1, to a whole number of the given bits. What
// lies outside is held at the limit and never wraps round; NaN becomes 0.
func quantise(x float64, bits uint) int64 {
	limit := float64(int64(1) << (bits - 1))
	v := math.Round(x * limit)
	switch {
	case v != v:
		return 0
	case v > limit-1:
		return int64(limit) - 1
	case v < -limit:
		return -int64(limit)
	}
	return int64(v)
}
