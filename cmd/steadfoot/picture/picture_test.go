package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfoot/detect"
	"steadfoot/detect/made"
)

// whole is the whole of recorded.
var whole *Recorder

func wholeWalk(t *testing.T) *Recorder {
	if whole == nil {
		whole = recorded(t, 0, math.Inf(1))
	}
	return whole
}

// recorded is a walk at 190 steps/min, from 2 to 9 s, as it was recorded.
func recorded(t *testing.T, from, to float64) *Recorder {
	t.Helper()
	w := made.Spec{Seed: 1, Rate: 8000, Duration: 9, Gait: made.Gait{Cadence: made.Steady(190), JitterCV: 1, Start: 2}}.Walk()
	d, err := detect.NewSound(detect.SoundConfig{Rate: w.Rate})
	if err != nil {
		t.Fatal(err)
	}
	r := New(from, to)
	d.Watch(r.Look)
	for _, e := range d.Flush(d.Feed(nil, w.Samples)) {
		r.Event(e)
	}
	return r
}

func TestSVG(t *testing.T) {
	path := filepath.Join(t.TempDir(), "p.svg")
	if err := wholeWalk(t).Draw(path, "a <walk>.wav"); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	images := 0
	for d := xml.NewDecoder(bytes.NewReader(b)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.CharData:
			text.Write(e)
		case xml.StartElement:
			if e.Name.Local == "image" {
				images++
			}
		}
	}
	for _, want := range []string{
		"What steadfoot believes: a <walk>.wav", "0.0 to 9.0 s: 23 steps found, 23 heard, 0 bridged",
		"chance of", "walking (%)", "evidence of a step", "cadence (steps/min)", "time (s)", "180", "left foot, heard", "right foot, bridged", "cannot hear",
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the picture lacks %q", want)
		}
	}
	if images != 1 {
		t.Errorf("%d images in the picture, want the heat map", images)
	}
}

// The darkest of the heat map lies at the cadence walked.
func TestHeatMap(t *testing.T) {
	r := wholeWalk(t)
	img := r.heatMap()
	at := int(8 / r.belief.width)
	darkest, where := math.Inf(1), 0.0
	for y := range img.Bounds().Dy() {
		red, green, _, _ := img.At(at, y).RGBA()
		if v := float64(red + green); v < darkest {
			darkest, where = v, fastestShown-float64(y)-0.5
		}
	}
	if math.Abs(where-190) > 4 {
		t.Errorf("likeliest cadence at 8 s is drawn at %.1f steps/min, want 190", where)
	}
	if red, _, _, _ := img.At(at, img.Bounds().Dy()-30).RGBA(); red>>8 < 0xf0 {
		t.Error("95 steps/min is drawn as likely too")
	}
}

func TestPNG(t *testing.T) {
	path := filepath.Join(t.TempDir(), "p.png")
	if err := recorded(t, 3, 8).Draw(path, "walk"); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	colours := make(map[[3]uint32]bool)
	for x := 0; x < img.Bounds().Dx(); x += 2 {
		for y := 0; y < img.Bounds().Dy(); y += 2 {
			r, g, b, _ := img.At(x, y).RGBA()
			colours[[3]uint32{r >> 8, g >> 8, b >> 8}] = true
		}
	}
	for _, want := range [][3]uint32{{0xff, 0xff, 0xff}, {0xf0, 0xe4, 0x42}, {0xd5, 0x5e, 0}, {0xd3, 0xe9, 0xf8}} {
		if !colours[want] {
			t.Errorf("no pixel of colour %x: a mark or a ground is missing", want)
		}
	}
}

func TestSummary(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		want     string
	}{
		{0, 1, "0.0 to 1.0 s: no steps found"},
		{4, 8, "4.0 to 8.0 s: 12 steps found"},     // or 13
		{50, 60, "50.0 to 50.1 s: no steps found"}, // after the end
	} {
		if got := recorded(t, c.from, c.to).Summary(); !strings.HasPrefix(got, c.want) && !strings.HasPrefix(got, strings.Replace(c.want, "12 steps", "13 steps", 1)) {
			t.Errorf("%g to %g: %q, want %q", c.from, c.to, got, c.want)
		}
	}
	r := New(0, math.Inf(1))
	r.Look(detect.Inside{T: 500})
	if got := r.Summary(); got != "0:00 to 8:20 min: no steps found" {
		t.Errorf("long: %q", got)
	}
}

func TestFails(t *testing.T) {
	r := New(0, math.Inf(1))
	if err := r.Draw(filepath.Join(t.TempDir(), "none", "p.svg"), "x"); err == nil {
		t.Error("drawn in a folder that is not there")
	}
	if err := r.Draw(filepath.Join(t.TempDir(), "p.svg"), "x"); err != nil {
		t.Errorf("nothing recorded: %v", err)
	}
}
