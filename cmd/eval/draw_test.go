package main

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

	"steadfoot/detect/score"
)

func panelsForTest() []panel {
	p := panel{title: "sharp surfaces", levels: []float64{10, 0, -10}, f50: []float64{1, 0.9, 0.1}, f25: []float64{1, 0.8, 0}, aubio: []float64{0.9, 0.5, 0}}
	q := p
	q.title, q.aubio = "soft surfaces", nil
	return []panel{p, q}
}

// The picture is well-formed, and says what its axes are.
func TestDrawSVG(t *testing.T) {
	path := filepath.Join(t.TempDir(), "f.svg")
	if err := drawPanels(path, panelsForTest()); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	for d := xml.NewDecoder(bytes.NewReader(b)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if c, ok := token.(xml.CharData); ok {
			text.Write(c)
		}
	}
	for _, want := range []string{"sharp surfaces", "soft surfaces", "level of the steps over the noise (dB)", "F of the steps found (0 to 1)", "+10", "-10", "within 25 ms", "F50 falls below 0.8 at -1.2 dB"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the picture lacks %q", want)
		}
	}
}

func TestDrawPNG(t *testing.T) {
	path := filepath.Join(t.TempDir(), "f.PNG")
	if err := drawPanels(path, panelsForTest()); err != nil {
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
	if w, h := img.Bounds().Dx(), img.Bounds().Dy(); w != 1500 || h != 630 {
		t.Errorf("%d by %d pixels, want 1500 by 630", w, h)
	}
	colours := make(map[[3]uint32]bool)
	for x := range img.Bounds().Dx() {
		for y := range img.Bounds().Dy() {
			r, g, b, _ := img.At(x, y).RGBA()
			colours[[3]uint32{r >> 8, g >> 8, b >> 8}] = true
		}
	}
	for _, want := range [][3]uint32{{0xff, 0xff, 0xff}, {0, 0x72, 0xb2}, {0xd5, 0x5e, 0}} {
		if !colours[want] {
			t.Errorf("no pixel of colour %x: a curve or the ground is missing", want)
		}
	}
}

func TestDrawFails(t *testing.T) {
	if err := drawPanels(filepath.Join(t.TempDir(), "none", "f.svg"), panelsForTest()); err == nil {
		t.Error("drawn in a folder that is not there")
	}
	for path, ok := range map[string]bool{"": true, "a.svg": true, "a.PNG": true, "a.gif": false, "svg": false} {
		if err := checkPicture(path); (err == nil) != ok {
			t.Errorf("%q: %v", path, err)
		}
	}
}

// A panel's curves, with the aubio method that is best at each level.
func TestPanel(t *testing.T) {
	hfc, kl := score.Result{TP: 1, FN: 1}, score.Result{TP: 2, FN: 0}
	p := panelOf("wood", []*row{
		{snr: 10, ours: found(10, 0), aubio: map[string]*score.Result{"hfc": &hfc, "kl": &kl}},
		{snr: -10, ours: found(0, 10), aubio: map[string]*score.Result{"hfc": &hfc}},
	})
	if p.levels[1] != -10 || p.f50[0] != 1 || p.f50[1] != 0 || p.aubio[0] != 1 || math.Abs(p.aubio[1]-2.0/3) > 1e-12 {
		t.Errorf("panel %+v", p)
	}
	var out bytes.Buffer
	printPanels(&out, []panel{p, panelsForTest()[1]})
	if dB, ok := p.end(); !ok || math.Abs(dB-6) > 1e-9 {
		t.Errorf("ends at %v dB, want 6: F goes from 1 at 10 dB to 0 at -10", dB)
	}
	always := panel{title: "x", levels: []float64{10, -10}, f50: []float64{1, 0.9}}
	never := panel{title: "x", levels: []float64{10, -10}, f50: []float64{0.5, 0.1}}
	if got, want := always.ends()+"; "+never.ends(), "F50 is 0.8 or more down to -10 dB; F50 is below 0.8 at every level"; got != want {
		t.Errorf("ends: %q, want %q", got, want)
	}
	for _, want := range []string{"Where it ends on wood: F50 falls below 0.8 at +6.0 dB.", "wood  +10  1.000  1.000  1.000", "soft surfaces  -10  0.100  0.000      -"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the numbers lack %q:\n%s", want, out.String())
		}
	}
}
