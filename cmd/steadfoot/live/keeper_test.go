package live

import (
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"steadfoot/audio"
)

func tempSound(t *testing.T) *os.File {
	t.Helper()
	f, err := os.Create(filepath.Join(t.TempDir(), "heard.wav"))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func soundIn(t *testing.T, path string) (samples []float32, rate int) {
	t.Helper()
	f, err := audio.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var b audio.Block
	for {
		if err := f.Read(&b); err == io.EOF {
			return samples, f.Rate()
		} else if err != nil {
			t.Fatal(err)
		}
		samples = append(samples, b.Samples...)
	}
}

// hum is a tone that 16 bits hold exactly enough for a comparison.
func hum(rate, n int) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.5 * math.Sin(2*math.Pi*440*float64(i)/float64(rate)))
	}
	return x
}

// TestKeeper: what comes in blocks of any size is in the file, lost samples as
// silence.
func TestKeeper(t *testing.T) {
	f := tempSound(t)
	x := hum(audio.Rate, 3*audio.Rate+17)
	src := &tape{samples: x, size: 480, hole: 2 * audio.Rate}
	k, err := NewKeeper(f, audio.Rate, true)
	if err != nil {
		t.Fatal(err)
	}
	var b audio.Block
	for src.Read(&b) == nil {
		k.Take(&b)
	}
	if err := k.Close(); err != nil || k.Trouble() != "" {
		t.Fatal(err, k.Trouble())
	}
	want := append(append(append([]float32(nil), x[:2*audio.Rate]...), make([]float32, audio.Rate)...), x[2*audio.Rate:]...)
	got, rate := soundIn(t, f.Name())
	if rate != audio.Rate || len(got) != len(want) {
		t.Fatalf("%d samples at %d Hz, want %d", len(got), rate, len(want))
	}
	for i := range want {
		if math.Abs(float64(got[i]-want[i])) > 1./32768 {
			t.Fatalf("sample %d is %g, want %g", i, got[i], want[i])
		}
	}
}

// TestKeeperRate: sound of more than 48 kHz is kept at 48 kHz, in time.
func TestKeeperRate(t *testing.T) {
	f := tempSound(t)
	const rate = 96000
	k, err := NewKeeper(f, rate, true)
	if err != nil {
		t.Fatal(err)
	}
	x := hum(rate, 2*rate)
	for i := 0; i < len(x); i += 1000 {
		k.Take(&audio.Block{Index: int64(i), Samples: x[i : i+1000]})
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	got, to := soundIn(t, f.Name())
	if to != audio.Rate || math.Abs(float64(len(got)-2*audio.Rate)) > 10 {
		t.Fatalf("%d samples at %d Hz", len(got), to)
	}
	want := hum(audio.Rate, len(got))
	for i := 100; i < len(got)-100; i++ {
		if math.Abs(float64(got[i]-want[i])) > 0.01 {
			t.Fatalf("sample %d is %g, want %g", i, got[i], want[i])
		}
	}
}

// TestKeeperFails: a disk that fails in the middle is told once, and the walk is
// not held up, not even one that would wait for the disk.
func TestKeeperFails(t *testing.T) {
	if f, err := os.OpenFile("/dev/full", os.O_RDWR, 0); err == nil {
		if _, err := NewKeeper(f, audio.Rate, false); err == nil {
			t.Error("a disk that is full at once is not told")
		}
	}
	f := tempSound(t)
	k, err := NewKeeper(f, audio.Rate, true)
	if err != nil {
		t.Fatal(err)
	}
	f.Close() // what is written now fails
	x, told := make([]float32, 4800), []string(nil)
	for i := range 600 { // a minute
		k.Take(&audio.Block{Index: int64(4800 * i), Samples: x})
		if what := k.Trouble(); what != "" {
			told = append(told, what)
		}
	}
	<-k.done
	if what := k.Trouble(); what != "" {
		told = append(told, what)
	}
	if len(told) != 1 || !strings.HasPrefix(told[0], "the sound is no longer kept: ") {
		t.Errorf("told %q", told)
	}
	if err := k.Close(); !errors.Is(err, os.ErrClosed) {
		t.Errorf("Close gives %v", err)
	}
}

// TestKeeperBehind: a disk that stands still costs the sound, not the walk.
func TestKeeperBehind(t *testing.T) {
	k := &Keeper{rate: 1000, done: make(chan struct{})}
	k.change = sync.NewCond(&k.mu)
	k.in.samples = make([]float32, 0, 10*k.rate)
	x := make([]float32, 100)
	for i := range 200 { // nobody takes it away
		k.Take(&audio.Block{Index: int64(100 * i), Samples: x})
		if told := k.Trouble(); (told != "") != (i == 100) || told != "" && !strings.Contains(told, "the disk was more than 10 s behind") {
			t.Errorf("piece %d: %q", i, told)
		}
	}
	if !errors.Is(k.err, errBehind) || len(k.in.samples) != 10*k.rate {
		t.Errorf("%v, %d samples", k.err, len(k.in.samples))
	}
}

func TestKeeperAllocates(t *testing.T) {
	k, err := NewKeeper(tempSound(t), audio.Rate, true)
	if err != nil {
		t.Fatal(err)
	}
	defer k.Close()
	x, at := make([]float32, 480), int64(0)
	if n := testing.AllocsPerRun(100, func() {
		k.Take(&audio.Block{Index: at, Samples: x})
		at += 480
	}); n != 0 {
		t.Errorf("%g allocations a piece", n)
	}
}
