// Package sheet is a page to draw on that is kept as SVG or PNG.
package sheet

import (
	"bytes"
	"fmt"
	"image/color"
	"io"
	"os"
	"path/filepath"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// dpi is the resolution of a PNG.
const dpi = 150

// Check tells whether a page can be kept under this name.
func Check(path string) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg", ".png":
		return nil
	}
	return fmt.Errorf("%q: the name must end in .svg or .png", path)
}

// Save draws on a white page of a size and writes it to a file.
func Save(path string, width, height vg.Length, on func(draw.Canvas) error) error {
	if err := Check(path); err != nil {
		return err
	}
	var c interface {
		vg.CanvasSizer
		io.WriterTo
	} = vgsvg.New(width, height)
	isPNG := strings.EqualFold(filepath.Ext(path), ".png")
	if isPNG {
		c = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(dpi), vgimg.UseBackgroundColor(color.White))}
	}
	if err := on(draw.New(c)); err != nil {
		return err
	}
	var page bytes.Buffer
	if _, err := c.WriteTo(&page); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if isPNG {
		return os.WriteFile(path, page.Bytes(), 0o644)
	}
	return os.WriteFile(path, []byte(svgImages.Replace(page.String())), 0o644)
}

// svgImages puts right what vgsvg writes about images: they are PNG, which not
// every reader finds out by itself, and must fill their rectangle.
var svgImages = strings.NewReplacer(
	`xlink:href="data:image/jpg;`, `preserveAspectRatio="none" xlink:href="data:image/png;`,
)
