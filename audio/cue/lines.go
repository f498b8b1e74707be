package cue

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"steadfoot/audio"
)

const (
	// MaxLine is the longest recording that is taken, s.
	MaxLine = 10.0

	silentBelow = -60.0 // dBFS: a recording without a greater sample is silent
	edgeBelow   = -40.0 // dB of its peak: what is softer at both ends is cut off
	edge        = audio.Rate / 100
)

// lines are the recordings of a folder by the names they answer to.
type lines struct {
	takes map[string]*takes
}

// takes are recordings of one name, which take turns.
type takes struct {
	clips []*Clip
	turn  int
}

// next gives the recording whose turn it is, nil when there is none.
func (l *lines) next(name string) *Clip {
	t := l.takes[name]
	if t == nil {
		return nil
	}
	c := t.clips[t.turn]
	t.turn = (t.turn + 1) % len(t.clips)
	return c
}

// add files a recording under its name, and under others that are likely to be
// meant: "Rep_Start" is also "rep start".
func (l *lines) add(name string, c *Clip) {
	t := l.takes[plain(name)]
	if t == nil {
		t = &takes{}
	}
	t.clips = append(t.clips, c)
	for _, n := range []string{name, strings.ToLower(name), plain(name)} {
		l.takes[n] = t
	}
}

// plain is a name in small letters, its words parted by spaces.
func plain(name string) string {
	return strings.NewReplacer("_", " ", "-", " ").Replace(strings.ToLower(name))
}

// number is what tells the takes of one line apart.
var number = regexp.MustCompile(`[ _-]+[0-9]+$`)

// readLines reads every sound in folder, in the order of the names. Hidden files
// and folders are passed over, and so are texts that say they are.
func readLines(folder string) (*lines, []string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, nil, fmt.Errorf("voice lines: %w", err)
	}
	l := &lines{takes: map[string]*takes{}}
	var warnings []string
	for _, e := range entries {
		if e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		ext := filepath.Ext(e.Name())
		c, warning, err := readLine(filepath.Join(folder, e.Name()))
		switch {
		case errors.Is(err, audio.ErrText) && slices.Contains([]string{".txt", ".md", ""}, strings.ToLower(ext)):
			continue
		case err != nil:
			warnings = append(warnings, fmt.Sprintf("voice line left out: %v", err))
			continue
		case warning != "":
			warnings = append(warnings, warning)
		}
		name := strings.TrimSpace(strings.TrimSuffix(e.Name(), ext))
		l.add(name, c)
		if base := number.ReplaceAllString(name, ""); base != name && base != "" {
			l.add(base, c)
		}
	}
	return l, warnings, nil
}

// readLine reads, trims and levels one recording. Errors and the warning name
// the file.
func readLine(path string) (c *Clip, warning string, err error) {
	mono, err := readMono(path)
	if err != nil {
		return nil, "", err
	}
	mono = trim(mono)
	if len(mono) == 0 {
		return nil, "", fmt.Errorf("%s: silent", path)
	}
	mono, missing := level(mono)
	if missing > 1 {
		warning = fmt.Sprintf("%s: too much of it is silence and short peaks; it is used, but sounds %.0f dB quieter than other cues", path, missing)
	}
	c = newClip(mono)
	c.onset = min(edge, len(mono)-1) // not the loudest word, which may be seconds later
	return c, warning, nil
}

// readMono gives the samples of a file at audio.Rate.
func readMono(path string) ([]float64, error) {
	f, err := audio.Open(path)
	if err != nil {
		return nil, err
	}
	src := audio.Resample(f, audio.Rate)
	defer src.Close()
	var mono []float64
	for b := (audio.Block{}); ; {
		err := src.Read(&b)
		if err == io.EOF {
			return mono, nil
		}
		if err != nil {
			return nil, err
		}
		for _, x := range b.Samples {
			mono = append(mono, float64(x))
		}
		if len(mono) > MaxLine*audio.Rate {
			return nil, fmt.Errorf("%s: longer than %g s", path, MaxLine)
		}
	}
}

// trim takes off a constant offset and the silence at both ends, but for 10 ms,
// over which it fades. It gives nothing when all is silent.
func trim(mono []float64) []float64 {
	mean := 0.0
	for _, x := range mono {
		mean += x / float64(len(mono))
	}
	for i := range mono {
		mono[i] -= mean
	}
	limit := peak(mono) * math.Pow(10, edgeBelow/20)
	if peak(mono) < math.Pow(10, silentBelow/20) {
		return nil
	}
	loud := func(x float64) bool { return math.Abs(x) >= limit }
	first := slices.IndexFunc(mono, loud)
	last := len(mono) - 1
	for !loud(mono[last]) {
		last--
	}
	mono = mono[max(0, first-edge):min(len(mono), last+1+edge)]
	for i := range min(edge, len(mono)/2) {
		rise := (float64(i) + 0.5) / edge
		mono[i] *= rise
		mono[len(mono)-1-i] *= rise
	}
	return mono
}
