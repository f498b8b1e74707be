package cue

import "fmt"

// Layer is what cues are made of. The zero value is Tones.
type Layer int

// The layers. What a layer has no sound for, the one before it gives.
const (
	Tones  Layer = iota // short signals; only figures are spoken
	Speech              // syllables of the formant voice
	Lines               // the coach's own recordings
)

var layerNames = [...]string{"tones", "speech", "lines"}

// String gives the name that ParseLayer reads.
func (l Layer) String() string {
	if l < 0 || int(l) >= len(layerNames) {
		return fmt.Sprintf("layer %d", int(l))
	}
	return layerNames[l]
}

// ParseLayer reads "tones", "speech" or "lines".
func ParseLayer(name string) (Layer, error) {
	for i, n := range layerNames {
		if n == name {
			return Layer(i), nil
		}
	}
	return 0, fmt.Errorf("no layer of cues is called %q; want tones, speech or lines", name)
}
