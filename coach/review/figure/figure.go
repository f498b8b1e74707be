// Package figure draws the pictures of the reports: SVG or PNG, with labelled
// axes, in colours that colour-blind eyes tell apart, and never by colour alone.
package figure

import (
	"fmt"
	"image/color"
	"io"
	"os"
	"path/filepath"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// The colours are from the palette of Okabe and Ito (jfly.uni-koeln.de/color).
var (
	Blue       = color.RGBA{0x00, 0x72, 0xb2, 0xff}
	Vermillion = color.RGBA{0xd5, 0x5e, 0x00, 0xff}
	Green      = color.RGBA{0x00, 0x9e, 0x73, 0xff}
	Purple     = color.RGBA{0xcc, 0x79, 0xa7, 0xff}
	Grey       = color.RGBA{0x99, 0x99, 0x99, 0xff}
)

// Drawing is what can be put on a sheet; a *plot.Plot is one.
type Drawing interface{ Draw(c draw.Canvas) }

// CheckName tells whether a picture of this name can be written.
func CheckName(path string) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg", ".png":
		return nil
	}
	return fmt.Errorf("%s: the name of a picture must end in .svg or .png", path)
}

// Save writes p to a file of the size w by h; the name's end says as what.
func Save(path string, p Drawing, w, h vg.Length) error {
	if err := CheckName(path); err != nil {
		return err
	}
	var c interface {
		vg.CanvasSizer
		io.WriterTo
	} = vgsvg.New(w, h)
	if strings.EqualFold(filepath.Ext(path), ".png") {
		c = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(w, h), vgimg.UseDPI(150), vgimg.UseBackgroundColor(color.White))}
	}
	p.Draw(draw.New(c))
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if _, err := c.WriteTo(f); err != nil {
		f.Close()
		return fmt.Errorf("%s: %w", path, err)
	}
	return f.Close()
}

// fonts sets everything in a face without serifs.
func fonts(p *plot.Plot) {
	for _, s := range []*draw.TextStyle{&p.Title.TextStyle, &p.X.Label.TextStyle, &p.Y.Label.TextStyle, &p.X.Tick.Label, &p.Y.Tick.Label, &p.Legend.TextStyle} {
		s.Font.Variant = "Sans"
	}
}
