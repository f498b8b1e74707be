package audio

import "os"

// WAVRecorder writes mono sound, as a [Source] gives it, to a WAV file of 16 bits
// at the sound's own rate. Once a second of sound the file is brought up to date
// on disk, so that a killed process leaves one that can be read; past 4 GB it
// becomes RF64. One goroutine uses it at a time.
type WAVRecorder struct{ g *growingWAV }

// NewWAVRecorder writes to f, which must be empty and is closed by Close. The
// rate is in Hz.
func NewWAVRecorder(f *os.File, rate int) (*WAVRecorder, error) {
	if err := (&stream{rate: rate, channels: 1}).check(); err != nil {
		return nil, err
	}
	g, err := startWAV(f, rate, 1)
	if err != nil {
		return nil, err
	}
	return &WAVRecorder{g}, nil
}

// Write adds samples, full scale ±1; what is louder is held at full scale. The
// error is the first one that the file gave.
func (r *WAVRecorder) Write(samples []float32) error {
	for _, x := range samples {
		r.g.put(x)
	}
	return r.g.err
}

// Silence adds n samples of silence.
func (r *WAVRecorder) Silence(n int64) error {
	for ; n > 0 && r.g.err == nil; n-- {
		r.g.put(0)
	}
	return r.g.err
}

// Len is the number of samples written so far.
func (r *WAVRecorder) Len() int64 {
	return (r.g.size + int64(len(r.g.buf))) / int64(r.g.frame())
}

// Close completes the file.
func (r *WAVRecorder) Close() error { return r.g.close() }
