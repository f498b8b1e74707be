package audio

import "os"

// WAVSink is a growing WAV file: 16 bits, stereo, at Rate. Once a second of
// sound it is brought up to date on disk, header included, so that a killed
// process leaves a readable file. Past 4 GB (6.2 hours) it becomes RF64.
type WAVSink struct{ g *growingWAV }

var _ Sink = (*WAVSink)(nil)

// CreateWAV makes the file, or empties the one that is there.
func CreateWAV(path string) (*WAVSink, error) {
	f, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	g, err := startWAV(f, Rate, 2)
	if err != nil {
		f.Close()
		return nil, err
	}
	return &WAVSink{g}, nil
}

// Write implements Sink. What is louder than full scale is held at full scale.
func (s *WAVSink) Write(frames []Frame) error {
	for _, fr := range frames {
		s.g.put(fr[0])
		s.g.put(fr[1])
	}
	return s.g.err
}

// Close implements Sink.
func (s *WAVSink) Close() error { return s.g.close() }
