// Package footsteps holds real single footsteps on a dozen surfaces, compiled
// into the program, so that walks can be made from them anywhere.
//
// Origin and licence of every sound are in README.md beside this file.
package footsteps

import (
	"bytes"
	"embed"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"

	"github.com/faiface/beep/flac"

	"steadfoot/detect/made"
)

// Rate is the sample rate of every footstep, in Hz.
const Rate = 48000

// Footstep is one recorded footfall.
type Footstep struct {
	Name    string    // file name without its ending, such as "gravel3"
	Surface string    // what was walked on, such as "gravel"
	Onset   float64   // first contact, s from the first sample: 20 dB below the loudest moment
	Samples []float32 // mono, full scale ±1, at Rate
}

//go:embed index.csv *.flac
var files embed.FS

// Surfaces lists the surfaces there are footsteps of, in alphabetical order.
func Surfaces() []string {
	var names []string
	for _, row := range index() {
		names = append(names, row[1])
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// On returns the footsteps on one surface, in the order of their names. It
// panics when there are none: the surfaces are fixed at compile time.
func On(surface string) []Footstep {
	var steps []Footstep
	for _, row := range index() {
		if row[1] == surface {
			steps = append(steps, load(row))
		}
	}
	if steps == nil {
		panic(fmt.Sprintf("footsteps: no surface %q; there are %v", surface, Surfaces()))
	}
	return steps
}

// Surface returns the footsteps on one surface as the walk maker takes them.
// Like On, it panics when there are none.
func Surface(name string) *made.Surface {
	s := &made.Surface{Name: name, Rate: Rate}
	for _, step := range On(name) {
		s.Sounds = append(s.Sounds, step.Samples)
	}
	return s
}

// index returns the rows name, surface, onset of index.csv.
func index() [][]string {
	b, err := files.ReadFile("index.csv")
	if err != nil {
		panic(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		panic(err)
	}
	return rows[1:]
}

func load(row []string) Footstep {
	onset, err := strconv.ParseFloat(row[2], 64)
	if err != nil {
		panic(err)
	}
	samples, err := decode(row[0] + ".flac")
	if err != nil {
		panic(fmt.Sprintf("footsteps: %s: %v", row[0], err))
	}
	return Footstep{Name: row[0], Surface: row[1], Onset: onset, Samples: samples}
}

func decode(name string) ([]float32, error) {
	b, err := files.ReadFile(name)
	if err != nil {
		return nil, err
	}
	s, format, err := flac.Decode(io.NopCloser(bytes.NewReader(b)))
	if err != nil {
		return nil, err
	}
	if format.SampleRate != Rate {
		return nil, fmt.Errorf("%d Hz, want %d", format.SampleRate, Rate)
	}
	var samples []float32
	var buf [1024][2]float64
	for {
		n, ok := s.Stream(buf[:])
		for _, f := range buf[:n] {
			samples = append(samples, float32(f[0]))
		}
		if !ok {
			if err := s.Err(); err != io.EOF { // this decoder calls the end an error
				return nil, err
			}
			return samples, nil
		}
	}
}
