// Package figure draws the pictures of the reports: SVG or PNG, with labelled
// axes, in colours that colour-blind eyes tell apart, and never by colour alone.
package figure

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/coach/review/figure/sheet"
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

// Save writes p to a file of the size w by h; the name's end says as what.
func Save(path string, p Drawing, w, h vg.Length) error {
	return sheet.Save(path, w, h, func(c draw.Canvas) error {
		p.Draw(c)
		return nil
	})
}

// fonts sets everything in a face without serifs.
func fonts(p *plot.Plot) {
	for _, s := range []*draw.TextStyle{&p.Title.TextStyle, &p.X.Label.TextStyle, &p.Y.Label.TextStyle, &p.X.Tick.Label, &p.Y.Tick.Label, &p.Legend.TextStyle} {
		s.Font.Variant = "Sans"
	}
}
