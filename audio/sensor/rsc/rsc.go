// Package rsc reads what a foot pod says by the Bluetooth standard: packets of
// the RSC Measurement characteristic (0x2A53) of the Running Speed and Cadence
// service (0x1814), written in hex, one a line.
//
// [Decode] reads one packet. [NewReader] reads a stream of them, as CSV, JSON
// Lines or bare lines:
//
//	t_s,rsc                                  header; the time may be t as well
//	0.0,03 2b 04 cd f4 00 40 0d 03 00
//
//	{"t":0.0,"rsc":"03 2b 04 cd f4 00 40 0d 03 00"}
//
//	03 2b 04 cd f4 00 40 0d 03 00            no header needed for this one
//
// Time is in seconds and may be left out, in all lines or in none: the packets
// are then taken to be [Spacing] apart. Between the bytes may be a space, a
// colon, a hyphen or nothing. Empty lines and lines that start with # are passed
// over, and so are further columns of CSV that has a header.
//
// The standard's text gives the cadence in "1/min" and names neither steps nor
// strides, and sensors differ; [Unit] says which it is.
package rsc

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// Measurement is one packet in units of this module. Bluetooth SIG,
// org.bluetooth.characteristic.rsc_measurement (XML of 2012-09-29).
type Measurement struct {
	Speed   float64 // m/s, 0 to 65535/256 in steps of 1/256
	Cadence uint8   // 1/min of steps or of strides, see Unit; 255 means 255 or more

	StrideLength    float64 // m, 0 to 655.35 in steps of 0.01; 0 unless HasStrideLength
	HasStrideLength bool    // flag bit 0
	Distance        float64 // m since the sensor was last reset, in steps of 0.1; 0 unless HasDistance
	HasDistance     bool    // flag bit 1
	Running         bool    // flag bit 2; false is walking, or a sensor that does not tell
}

// MaxCadence is the largest cadence that fits into a packet. A sensor has no
// way to say more, so it stands for all above it too.
const MaxCadence = 255

// ErrShort is the error of a packet that ends before the fields its flags
// announce.
var ErrShort = errors.New("RSC measurement too short")

// Bits of the flags; bits 3 to 7 are reserved and are ignored.
const (
	flagStrideLength = 1 << iota
	flagDistance
	flagRunning
)

// leastBytes is the length of flags, speed and cadence.
const leastBytes = 4

// Decode reads one packet: flags, speed, cadence, and what the flags announce,
// all little-endian. Bytes after that are ignored, as a later version of the
// standard may add fields. The error is ErrShort, with the lengths.
func Decode(b []byte) (m Measurement, err error) {
	want := leastBytes
	if len(b) > 0 {
		want = length(b[0])
	}
	if len(b) < want {
		return m, fmt.Errorf("%w: %d bytes, want %d", ErrShort, len(b), want)
	}
	flags := b[0]
	m.Speed = float64(binary.LittleEndian.Uint16(b[1:])) / 256
	m.Cadence = b[3]
	m.Running = flags&flagRunning != 0
	b = b[leastBytes:]
	if m.HasStrideLength = flags&flagStrideLength != 0; m.HasStrideLength {
		m.StrideLength = float64(binary.LittleEndian.Uint16(b)) / 100
		b = b[2:]
	}
	if m.HasDistance = flags&flagDistance != 0; m.HasDistance {
		m.Distance = float64(binary.LittleEndian.Uint32(b)) / 10
	}
	return m, nil
}

// length is how many bytes a packet with these flags has at least.
func length(flags byte) int {
	n := leastBytes
	if flags&flagStrideLength != 0 {
		n += 2
	}
	if flags&flagDistance != 0 {
		n += 4
	}
	return n
}
