package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"steadfoot/coach/logbook"
)

// FuzzImport imports any bytes as a walk: it is stored whole or refused in one line.
func FuzzImport(f *testing.F) {
	const head = `{"kind":"session","started":"2026-01-01T10:00:00Z","uid":"a"}` + "\n"
	f.Add([]byte(head + `{"kind":"step","t":1.5,"side":"left","confidence":1,"heard":true}` + "\n" + `{"kind":"mark","t":2,"name":"end"}`))
	f.Add([]byte(head + `{"kind":"fault","t":1,"code":"wind","what":"x"}` + "\n" + `{"kind":"summary"}`))
	f.Add([]byte(head + `{"kind":"step","t":1e999}`))
	f.Add([]byte(`{"kind":"session","started":"10000-01-01T00:00:00+99:00","settings":[[[[]]]]}`))
	store, err := logbook.Open(filepath.Join(f.TempDir(), "log.db"))
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { store.Close() })
	f.Fuzz(func(t *testing.T, data []byte) {
		words, err := importWalk(store, "x", bytes.NewReader(data))
		if (err == nil) == (words == "") || err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("%q, %v", words, err)
		}
	})
}

// FuzzTaps reads any text as taps: two cones and times in order of what there is.
func FuzzTaps(f *testing.F) {
	for _, s := range []string{"1 cone\n1.5 step\n9 cone\n", "# x\n\n1 cone\n2 cone", "NaN step", "1e6 cone\n-1 step", "1 step step"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		taps, cones, err := readTaps("x", strings.NewReader(s))
		if err != nil && strings.Contains(err.Error(), "\n") || err == nil && len(cones) != 2 {
			t.Errorf("%v, %v, %v", taps, cones, err)
		}
		for _, v := range append(taps, cones...) {
			if !(v >= 0 && v < 1e7) {
				t.Errorf("%v", v)
			}
		}
	})
}
