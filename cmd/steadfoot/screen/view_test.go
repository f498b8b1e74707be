package screen

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"
)

var rewrite = flag.Bool("rewrite", false, "write the expected screens anew")

var styling = regexp.MustCompile("\x1b\\[[0-9;]*m")

// shown is the screen of s without styling.
func shown(s Snapshot, g *glyphs, w, h int) string {
	return styling.ReplaceAllString(s.draw(g, w, h, "", keyLine(g, w)).render(w, h), "")
}

// framed shows where a screen ends.
func framed(text string, w, h int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "+%s+\n", strings.Repeat("-", w))
	for l := range strings.Lines(text + "\n") {
		l = strings.TrimSuffix(l, "\n")
		fmt.Fprintf(&b, "|%s%s|\n", l, strings.Repeat(" ", max(0, w-width(l))))
	}
	fmt.Fprintf(&b, "+%s+ %d x %d\n", strings.Repeat("-", w), w, h)
	return b.String()
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".golden")
	if *rewrite {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
	}
}

var sizes = [][2]int{{80, 24}, {60, 20}, {120, 40}, {40, 10}}

func TestStates(t *testing.T) {
	for _, m := range made() {
		var b strings.Builder
		for _, z := range sizes {
			b.WriteString(framed(shown(m.snap, &blockGlyphs, z[0], z[1]), z[0], z[1]))
		}
		golden(t, m.name, b.String())
	}
}

func TestASCII(t *testing.T) {
	var b strings.Builder
	for _, m := range made() {
		got := shown(m.snap, &asciiGlyphs, 80, 24)
		if i := strings.IndexFunc(got, func(r rune) bool { return r > unicode.MaxASCII }); i >= 0 {
			t.Errorf("%s: %q is not ASCII", m.name, got[i:])
		}
		if m.name == "too-slow" || m.name == "other-scripts" {
			for _, z := range sizes {
				b.WriteString(framed(shown(m.snap, &asciiGlyphs, z[0], z[1]), z[0], z[1]))
			}
		}
	}
	golden(t, "ascii", b.String())
}
