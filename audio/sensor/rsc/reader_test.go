package rsc

import (
	"errors"
	"io"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

// readAll reads a stream to its end.
func readAll(text string) (all []Record, r *Reader, err error) {
	r, err = NewReader("x", strings.NewReader(text))
	for err == nil {
		var rec Record
		if rec, err = r.Read(); err == nil {
			all = append(all, rec)
		}
	}
	if err == io.EOF {
		err = nil
	}
	return all, r, err
}

// TestForms reads the same two packets in every form a stream may have, and
// each is known by its first line.
func TestForms(t *testing.T) {
	a, b := worked[0], worked[1]
	forms := strings.NewReplacer("$A", a.text, "$B", b.text,
		"$compact", strings.ReplaceAll(a.text, " ", ""),
		"$CAPITALS", strings.ToUpper(strings.ReplaceAll(a.text, " ", "-")),
		"$colons", strings.ReplaceAll(a.text, " ", ":"))
	for _, c := range []struct {
		name, text string
		start      float64 // s
	}{
		{"header", "t_s,rsc\n7,$A\n8,$B\n", 7},
		{"header t", "t,rsc\n7,$A\n8,$B", 7},
		{"no time", "rsc\n$A\n$B\n", 0},
		{"no header", "$A\n$B\n", 0},
		{"no header, time", "7.0,$A\n8.0,$B\n", 7},
		{"compact", "t,rsc\n-1,$compact\n0,$B\n", -1},
		{"capitals and hyphens", "rsc\n$CAPITALS\n$B\n", 0},
		{"colons", "$colons\n$B\n", 0},
		{"more columns", "rssi,rsc,t_s\n-70,$A,7\n-71,$B,8\n", 7},
		{"BOM, CRLF, comments", "\uFEFF\"T_s\", RSC\r\n\r\n 7 ,\"$A\"\r\n# x\r\n8, $B \r\n", 7},
		{"JSON", `{"t":7,"rsc":"$A"}` + "\n" + `{"rsc":"$B","note":1,"t":8}` + "\n", 7},
		{"JSON t_s", `{"t_s":7,"rsc":"$A"}` + "\n" + `{"t_s":8,"rsc":"$B"}`, 7},
		{"JSON, no time", `{"rsc":"$A"}` + "\n" + `{"rsc":"$B"}`, 0},
	} {
		text := forms.Replace(c.text)
		if !Looks([]byte(text)) {
			t.Errorf("%s: does not look like it", c.name)
		}
		want := []Record{{c.start, a.want}, {c.start + 1, b.want}}
		for _, text := range []string{text, "\uFEFF# a foot pod\n\n" + strings.TrimPrefix(text, "\uFEFF")} {
			got, r, err := readAll(text)
			if err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("%s: %+v, %v; want %+v", c.name, got, err, want)
				continue
			}
			if w := r.Warnings(); w != nil {
				t.Errorf("%s: warnings %q", c.name, w)
			}
		}
	}
}

// TestLooksNot: other inputs are left to others.
func TestLooksNot(t *testing.T) {
	for _, text := range []string{
		"", "\n", "t,ax,ay,az\n0,1,2,3\n", `{"t":0,"ax":1,"ay":2,"az":3}`, "RIFF\x24\x00\x00\x00WAVE", "fLaC", "ID3\x03",
		"0,1,2,3\n", "0.00,20450\n", "Mira Tal walked well today.", "12,13\n", "00 2b\n", "00 2b 0g c8\n", "12345678\n",
	} {
		if Looks([]byte(text)) {
			t.Errorf("%q is taken for packets", text)
		}
	}
}

// TestFaults: each is one line with the name and the line.
func TestFaults(t *testing.T) {
	for text, want := range map[string]string{
		"":                                     "x: empty, not even a header",
		"# nothing\n":                          "x: empty, not even a header",
		"t,rsc\n":                              "x: no packets in it",
		"t,ax\n":                               `x:1: no column "rsc", as in t_s,rsc`,
		"rsc\n00 2b 04 c8\n00 2b 04\n":         "x:3: RSC measurement too short: 3 bytes, want 4",
		"# pod\n\nrsc\n01 2b 04 c8\n":          "x:4: RSC measurement too short: 4 bytes, want 6",
		"rsc\n\"\"\n":                          "x:2: RSC measurement too short: 0 bytes, want 4",
		"rsc\n00 2b 04 c8 f\n":                 `x:2: "00 2b 04 c8 f": half a byte at the end`,
		"rsc\n00 2b 0x c8\n":                   `x:2: "0x" is not a byte in hex`,
		"rsc\n00  2b 04 c8\n":                  `x:2: " 2" is not a byte in hex`,
		"t,rsc\nsoon,00 2b 04 c8\n":            `x:2: "soon" is not a time in seconds`,
		"t,rsc\nNaN,00 2b 04 c8\n":             `x:2: "NaN" is not a time in seconds`,
		"t,rsc\n,00 2b 04 c8\n":                `x:2: "" is not a time in seconds`,
		"t,rsc\n0,00 2b 04 c8,1\n":             "x:2: 3 columns, want 2 as in the first line",
		"t,rsc\n0,00 2b 04 c8\n1e9,002b04c8\n": "x:3: 1e+09 s after the packet before; times must be in seconds",
		`{"t":0}`:                              `x:1: no key "rsc"`,
		`{"t":0,"rsc":`:                        "x:1: not a JSON object: unexpected end of JSON input",
		`{"t":"0","rsc":"00 2b 04 c8"}`:        `x:1: want "t" as a number of seconds and "rsc" as a string in hex`,
		`{"rsc":"002b04c8"}` + "\n" + `{"t":1,"rsc":"002b04c8"}` + "\n":            "x:2: a time in some lines and none in others",
		"rsc\n" + strings.Repeat("00", maxLine):                                    "x:2: line longer than 4096 bytes",
		"t,rsc\n9,002b04c8\n1,002b04c8\n2,002b04c8\n":                              "x: 2 of 3 packets are out of order; sort them by time, or split joined recordings",
		"t,rsc\n-1e308,002b04c8\n1e308,002b04c8\n":                                 "x:3: +Inf s after the packet before; times must be in seconds",
		"t,rsc\n0,002b04c8\n1,002b04\n2,002b04c8\n" + strings.Repeat("# end\n", 3): "x:3: RSC measurement too short: 3 bytes, want 4",
	} {
		if _, _, err := readAll(text); err == nil || err.Error() != want {
			t.Errorf("%.60q: %v, want %s", text, err, want)
		}
	}
	torn := errors.New("torn")
	r, err := NewReader("x", io.MultiReader(strings.NewReader("rsc\n002b04c8\n"), iotest.ErrReader(torn)))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Read(); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if _, err := r.Read(); !errors.Is(err, torn) {
			t.Errorf("%v, want %v again and again", err, torn)
		}
	}
}

// TestOdd has streams with faults that are got over, with a warning.
func TestOdd(t *testing.T) {
	for _, c := range []struct {
		text  string
		times []float64
		want  string
	}{
		{"t,rsc\n1,002b04c8\n1,002b04c8\n0,002b04c8\n2,002b04c8\n3,002b04c8\n", []float64{1, 2, 3}, "x: packets not later than the one before: 2, left out"},
		{"t,rsc\n1,002b04c8\n2,002b04", []float64{1}, "x: the last packet is cut off and was left out"},
		{"t,rsc\n1,002b04c8\n2,002b04ff\n", []float64{1, 2}, "x: packets with a cadence of 255/min, the most they can hold: 1; the walk may have been quicker"},
		{"t,rsc\n1,002b04c8\n5,002b04c8\n8,002b04c8\n", []float64{1, 5, 8}, "x: holes: 2, the longest of 4.0 s after 1.0 s"},
	} {
		all, r, err := readAll(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		var times []float64
		for _, rec := range all {
			times = append(times, rec.T)
		}
		if !slices.Equal(times, c.times) || !slices.Equal(r.Warnings(), []string{c.want}) {
			t.Errorf("%q: times %v, warnings %q", c.text, times, r.Warnings())
		}
	}
}

// TestTotals has 3 s of walking at 2 and 4 m/s with cadences 180 and 200, a
// hole of 10 s of which 2.5 s are believed, and a stop.
func TestTotals(t *testing.T) {
	const walk = "t,rsc\n10,00 00 02 b4\n11,00 00 04 c8\n12,00 00 04 c8\n22,00 00 00 00\n24,00 00 00 00\n"
	counted := strings.NewReplacer("00 00 02 b4", "02 00 02 b4 64 00 00 00", "00 00 00 00", "02 00 00 00 c8 00 00 00").Replace(walk)
	reset := counted + "25,02 00 00 00 05 00 00 00\n26,02 00 00 00 0a 00 00 00\n"
	want := Totals{Packets: 5, Duration: 14, Walking: 1 + 1 + Hold, Cadence: 580. / 3, Speed: 10. / 3, Distance: 2 + 4 + 4*Hold}
	for text, distance := range map[string]float64{walk: 0, counted: 10, reset: 10.5} {
		_, r, err := readAll(text)
		if err != nil {
			t.Fatal(err)
		}
		got, want := r.Totals(), want
		if distance > 0 {
			want.Distance, want.Counted = distance, true
		}
		if text == reset {
			want.Packets, want.Duration = 7, 16
		}
		if math.Abs(got.Distance-want.Distance) > 1e-9 {
			t.Errorf("distance %g, want %g", got.Distance, want.Distance)
		}
		if got.Distance = want.Distance; got != want {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
}

// FuzzReader reads any text. Packets that come out are in order, and an error is
// one line.
func FuzzReader(f *testing.F) {
	f.Add("t_s,rsc\n0,03 2b 04 cd f4 00 40 0d 03 00\n1,00-2b-04-c8\n")
	f.Add("\uFEFF# x\r\n00:2b:04:c8\r\n01 2b 04 c8")
	f.Add(`{"t":0,"rsc":"002b04c8"}` + "\n" + `{"t":null,"rsc":null}`)
	f.Add("1,00 2b 04\n0x1p-2,06 2b 04 c9 39 30 00 00")
	f.Fuzz(func(t *testing.T, text string) {
		Looks([]byte(text))
		all, r, err := readAll(text)
		last := math.Inf(-1)
		for _, rec := range all {
			if !(rec.T > last) || math.IsInf(rec.T, 0) {
				t.Fatalf("time %g after %g", rec.T, last)
			}
			last = rec.T
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Fatalf("error of more than one line: %q", err)
		}
		if r != nil {
			if s := r.Totals(); s.Packets != len(all) || !(s.Walking <= s.Duration+1e-6*math.Abs(s.Duration)) || s.Distance < 0 {
				t.Fatalf("%+v of %d packets", s, len(all))
			}
			r.Warnings()
		}
	})
}
