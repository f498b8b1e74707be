package figure

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"steadfoot/coach/units"
	"steadfoot/profiles"
)

func TestTicks(t *testing.T) {
	for _, c := range []struct{ lo, hi float64 }{{0.98, 1.13}, {176, 208}, {0, 1}, {-3, 3}, {1e-6, 3e-6}, {36, 50}, {5, 5}} {
		ticks := Ticks{}.Ticks(c.lo, c.hi)
		if c.hi > c.lo && (len(ticks) < 4 || len(ticks) > 9) {
			t.Errorf("%v: %d ticks", c, len(ticks))
		}
		for i, k := range ticks {
			if k.Value < c.lo-1e-9 || k.Value > c.hi+1e-9 {
				t.Errorf("%v: tick at %v", c, k.Value)
			}
			if i > 0 && k.Label == ticks[i-1].Label {
				t.Errorf("%v: two ticks %q", c, k.Label)
			}
		}
	}
}

func plane(u units.System) Plane {
	return Plane{
		Title: "A plane", Units: u, Cadence: [2]float64{180, 205}, Length: [2]float64{1, 1.2},
		Own:    profiles.Curve{{Cadence: 185, Length: 1.05}, {Cadence: 200, Length: 1.12}},
		Series: []Series{{"goal", []Point{{192, 1.1}}}, {"reps", []Point{{190, 1.08}, {195, 1.1}}}},
	}
}

// TestSave draws the plane as both kinds of file and reads them back.
func TestSave(t *testing.T) {
	dir := t.TempDir()
	for _, u := range []units.System{units.Metric, units.Imperial} {
		p, err := plane(u).Plot()
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"plane.svg", "plane.png"} {
			path := filepath.Join(dir, name)
			if err := Save(path, p, 6*vg.Inch, 4*vg.Inch); err != nil {
				t.Fatal(err)
			}
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if strings.HasSuffix(name, ".png") {
				img, err := png.Decode(bytes.NewReader(data))
				if err != nil || img.Bounds().Dx() != 900 {
					t.Errorf("%s: %v", name, err)
				}
				continue
			}
			words := svgText(t, data)
			sign := map[units.System]string{units.Metric: "5:00 /km", units.Imperial: "8:00 /mi"}[u]
			for _, want := range []string{"A plane", "cadence (steps/min)", "goal", "reps", sign} {
				if !strings.Contains(words, want) {
					t.Errorf("%v: no %q in the picture: %s", u, want, words)
				}
			}
		}
	}
	if err := Save(filepath.Join(dir, "x.gif"), nil, 1, 1); err == nil {
		t.Error("a .gif is taken")
	}
}

// svgText is all text of an SVG, which must be well-formed.
func svgText(t *testing.T, data []byte) string {
	t.Helper()
	var out strings.Builder
	for d := xml.NewDecoder(bytes.NewReader(data)); ; {
		tok, err := d.Token()
		if err == io.EOF {
			return out.String()
		}
		if err != nil {
			t.Fatal(err)
		}
		if c, ok := tok.(xml.CharData); ok {
			out.Write(c)
			out.WriteByte('|')
		}
	}
}
