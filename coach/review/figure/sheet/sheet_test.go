package sheet

import (
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func blank(draw.Canvas) error { return nil }

func TestSave(t *testing.T) {
	dir := t.TempDir()
	svg, picture := filepath.Join(dir, "a.svg"), filepath.Join(dir, "a.PNG")
	for _, path := range []string{svg, picture} {
		if err := Save(path, 4*vg.Inch, 2*vg.Inch, blank); err != nil {
			t.Fatal(err)
		}
	}
	if b, err := os.ReadFile(svg); err != nil || !strings.Contains(string(b), "<svg width=\"288pt\" height=\"144pt\"") {
		t.Errorf("%v; not an SVG of 4 by 2 in: %.200s", err, b)
	}
	f, err := os.Open(picture)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if img, err := png.DecodeConfig(f); err != nil || img.Width != 4*dpi || img.Height != 2*dpi {
		t.Errorf("%v; %d by %d pixels, want %d by %d", err, img.Width, img.Height, 4*dpi, 2*dpi)
	}
}

// An image in an SVG says that it is PNG, and fills its place.
func TestImage(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.svg")
	err := Save(path, vg.Inch, vg.Inch, func(c draw.Canvas) error {
		c.DrawImage(c.Rectangle, image.NewRGBA(image.Rect(0, 0, 2, 1)))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if want := `preserveAspectRatio="none" xlink:href="data:image/png;base64,iVBOR`; !strings.Contains(string(b), want) {
		t.Errorf("the picture lacks %s:\n%s", want, b)
	}
}

func TestFails(t *testing.T) {
	dir := t.TempDir()
	if err := Save(filepath.Join(dir, "none", "a.svg"), vg.Inch, vg.Inch, blank); err == nil {
		t.Error("kept in a folder that is not there")
	}
	want := errors.New("no ink")
	path := filepath.Join(dir, "a.svg")
	if err := Save(path, vg.Inch, vg.Inch, func(draw.Canvas) error { return want }); err != want {
		t.Errorf("error %v, want that of the drawing", err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("a page is kept though its drawing failed")
	}
	for path, ok := range map[string]bool{"a.svg": true, "a.PNG": true, "a.gif": false, "svg": false, "": false} {
		if err := Check(path); (err == nil) != ok {
			t.Errorf("%q: %v", path, err)
		}
	}
}
