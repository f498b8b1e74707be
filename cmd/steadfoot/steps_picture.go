package main

import (
	"math"
	"path/filepath"

	"github.com/spf13/pflag"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/cmd/steadfoot/picture"
	"steadfoot/coach/review/figure/sheet"
	"steadfoot/detect"
)

// pictureOptions ask for a picture of what the filter believes.
type pictureOptions struct {
	path     string // "": none
	from, to float64
}

func (o *pictureOptions) flags(fs *pflag.FlagSet) {
	fs.StringVar(&o.path, "picture", "", "also draw what the detector believes over time in this file, .svg or .png")
	fs.Float64Var(&o.from, "from", 0, "start of the picture, s")
	fs.Float64Var(&o.to, "to", math.Inf(1), "end of the picture, s")
	fs.Lookup("to").DefValue = "the end"
}

// check finds wrong use before anything is opened.
func (o *pictureOptions) check(fs *pflag.FlagSet) error {
	switch {
	case o.path == "" && (fs.Changed("from") || fs.Changed("to")):
		return usagef("--from and --to say what --picture shows: name its file")
	case o.path == "":
		return nil
	case !(o.from >= 0 && o.from < o.to):
		return usagef("--from %g --to %g: want two times in s, the first before the second", o.from, o.to)
	}
	if err := sheet.Check(o.path); err != nil {
		return usagef("--picture %v", err)
	}
	return nil
}

// watch has the picture drawn when p ends, of what ear hears.
func (o *pictureOptions) watch(name string, ear live.Ear, p printer) (printer, error) {
	if o.path == "" {
		return p, nil
	}
	w, ok := ear.(live.Watched)
	if !ok {
		return nil, usagef("--picture: the packets of a foot pod give nothing to draw")
	}
	rec := picture.New(o.from, o.to)
	w.Watch(rec.Look)
	if name == "-" {
		name = "standard input"
	}
	return &picturePrinter{printer: p, rec: rec, path: o.path, of: filepath.Base(name)}, nil
}

// picturePrinter prints as another does, and draws.
type picturePrinter struct {
	printer
	rec      *picture.Recorder
	path, of string
}

func (p *picturePrinter) print(e detect.Event) error {
	p.rec.Event(e)
	return p.printer.print(e)
}

func (p *picturePrinter) end(heard float64) error {
	if err := p.printer.end(heard); err != nil {
		return err
	}
	return p.rec.Draw(p.path, p.of)
}
