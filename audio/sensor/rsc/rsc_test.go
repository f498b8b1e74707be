package rsc

import (
	"encoding/binary"
	"encoding/hex"
	"errors"
	"math"
	"strings"
	"testing"
)

func packet(t testing.TB, text string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.ReplaceAll(text, " ", ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// worked are packets with values worked out by hand from the layout in the
// Bluetooth SIG's XML of org.bluetooth.characteristic.rsc_measurement
// (2012-09-29, github oesmith/gatt-xml @4fd2ede): 0x042b = 1067, 1067/256 =
// 4.16796875 m/s; 0x00f4 = 244 cm; 0x00030d40 = 200000 dm; 0x3039 = 12345 dm.
var worked = []struct {
	text string
	want Measurement
}{
	{"03 2b 04 cd f4 00 40 0d 03 00", Measurement{Speed: 4.16796875, Cadence: 205,
		StrideLength: 2.44, HasStrideLength: true, Distance: 20000, HasDistance: true}},
	{"00 2b 04 c8", Measurement{Speed: 4.16796875, Cadence: 200}},
	{"06 2b 04 c9 39 30 00 00", Measurement{Speed: 4.16796875, Cadence: 201,
		Distance: 1234.5, HasDistance: true, Running: true}},
	// The ends of the scales.
	{"01 ff ff ff ff ff", Measurement{Speed: 65535. / 256, Cadence: MaxCadence, StrideLength: 655.35, HasStrideLength: true}},
	{"02 00 00 00 ff ff ff ff", Measurement{Distance: 429496729.5, HasDistance: true}},
	// Reserved bits are ignored, and so are fields of a later standard.
	{"f8 2b 04 c8", Measurement{Speed: 4.16796875, Cadence: 200}},
	{"00 2b 04 c8 01 02", Measurement{Speed: 4.16796875, Cadence: 200}},
}

func TestDecode(t *testing.T) {
	for _, c := range worked {
		if m, err := Decode(packet(t, c.text)); err != nil || m != c.want {
			t.Errorf("%s: %+v, %v; want %+v", c.text, m, err, c.want)
		}
	}
}

// TestShort cuts every packet short at every byte its flags ask for.
func TestShort(t *testing.T) {
	for _, text := range []string{"00 2b 04 c8", "01 2b 04 c8 f4 00", "02 2b 04 c8 40 0d 03 00", "07 2b 04 cd f4 00 40 0d 03 00", "f8 2b 04 c8"} {
		b := packet(t, text)
		for n := range b {
			if m, err := Decode(b[:n]); !errors.Is(err, ErrShort) || m != (Measurement{}) {
				t.Errorf("%s, first %d bytes: %+v, %v", text, n, m, err)
			}
		}
	}
}

// TestUnit: the standard does not say whether a cadence counts steps or strides.
func TestUnit(t *testing.T) {
	m := Measurement{Speed: 4.16796875, Cadence: 205}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"steps", Steps.Cadence(205), 205},
		{"strides", Strides.Cadence(205), 410}, // a byte would have wrapped to 154
		{"most", Strides.Cadence(MaxCadence), 510},
		{"step length from steps", Steps.StepLength(m), 1.2198933},
		{"step length from strides", Strides.StepLength(m), 0.6099467},
		{"no cadence", Steps.StepLength(Measurement{Speed: 1}), 0},
		// A uniform error of ±1/2 has the variance 1/12.
		{"standard error of steps", Steps.CadenceSD(), 0.2886751},
		{"standard error of strides", Strides.CadenceSD(), 0.5773503},
	} {
		if math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("%s: %g, want %g", c.name, c.got, c.want)
		}
	}
	for _, u := range []Unit{Steps, Strides} {
		if p, err := ParseUnit(string(u)); p != u || err != nil || u.Other() == u || u.Other().Other() != u {
			t.Errorf("%s: %q, %v", u, p, err)
		}
	}
	if _, err := ParseUnit("rpm"); err == nil || err.Error() != `unit "rpm": want steps or strides` {
		t.Error(err)
	}
}

// encode writes a packet, as a sensor does.
func encode(m Measurement) []byte {
	b := []byte{0}
	b = binary.LittleEndian.AppendUint16(b, uint16(math.Round(m.Speed*256)))
	b = append(b, m.Cadence)
	if m.HasStrideLength {
		b[0] |= 1
		b = binary.LittleEndian.AppendUint16(b, uint16(math.Round(m.StrideLength*100)))
	}
	if m.HasDistance {
		b[0] |= 2
		b = binary.LittleEndian.AppendUint32(b, uint32(math.Round(m.Distance*10)))
	}
	if m.Running {
		b[0] |= 4
	}
	return b
}

// FuzzDecode: a packet is short, or what was read of it can be written again.
func FuzzDecode(f *testing.F) {
	for _, c := range worked {
		f.Add(packet(f, c.text))
	}
	f.Add([]byte{1, 0x2b, 4, 0xc8})
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := Decode(b)
		if err != nil {
			if !errors.Is(err, ErrShort) || len(b) >= 10 {
				t.Fatalf("% x: %v", b, err)
			}
			return
		}
		again := encode(m)
		if again[0] != b[0]&7 || string(again[1:]) != string(b[1:len(again)]) {
			t.Fatalf("% x reads as %+v, which is % x", b, m, again)
		}
	})
}
