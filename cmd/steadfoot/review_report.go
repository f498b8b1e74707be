package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"steadfoot/coach/review"
	"steadfoot/coach/review/figure"
)

// reportFiles are the files that review writes beside what it prints.
type reportFiles struct {
	page  string // one HTML page; "": none
	plots string // a folder for the pictures; "": none
}

func (f reportFiles) wanted() bool { return f.page != "" || f.plots != "" }

// check finds wrong use before anything is opened. A page must be called one, so
// that no store or recording is written over by a slip.
func (f reportFiles) check() error {
	if f.page == "" {
		return nil
	}
	switch strings.ToLower(filepath.Ext(f.page)) {
	case ".html", ".htm":
		return nil
	}
	return usagef("--report %q: the name must end in .html", f.page)
}

// write writes the page and the pictures, and tells where they are.
func (f reportFiles) write(out io.Writer, page func(io.Writer) error, figures []review.Figure) error {
	if f.page != "" {
		var b bytes.Buffer
		if err := page(&b); err != nil {
			return err
		}
		if err := os.WriteFile(f.page, b.Bytes(), 0o644); err != nil {
			return err
		}
		fmt.Fprintf(out, "Report: %s\n", f.page)
	}
	if f.plots == "" {
		return nil
	}
	if err := os.MkdirAll(f.plots, 0o755); err != nil {
		return err
	}
	for _, g := range figures {
		for _, end := range []string{".svg", ".png"} {
			if err := figure.Save(filepath.Join(f.plots, g.Name+end), g.Wide, g.WideSize[0], g.WideSize[1]); err != nil {
				return err
			}
		}
	}
	fmt.Fprintf(out, "%d plots, as SVG and PNG: %s\n", len(figures), f.plots)
	return nil
}
