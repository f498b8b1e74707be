package sensor

import (
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"
)

// readAll reads a stream to its end.
func readAll(text string, o Options) (rows []Row, r *Reader, err error) {
	r, err = NewReader("x.csv", strings.NewReader(text), o)
	for err == nil {
		var row Row
		if row, err = r.Read(); err == nil {
			rows = append(rows, row)
		}
	}
	if err == io.EOF {
		err = nil
	}
	return rows, r, err
}

func TestUnits(t *testing.T) {
	const g = 9.80665
	for _, c := range []struct {
		name, text string
		o          Options
		want       []Row
		unit       Unit
	}{
		{"not stated", "t,ax,ay,az\n0,1,2,3\n0.01,4,5,6\n", Options{}, []Row{{0, 1, 2, 3}, {0.01, 4, 5, 6}}, MPS2},
		{"g by flag", "t,ax,ay,az\n0,1,2,3\n", Options{Unit: G}, []Row{{0, g, 2 * g, 3 * g}}, G},
		{"m/s² by header", "t_s,ax_mps2,ay_mps2,az_mps2\n0,1,2,3\n", Options{Unit: G}, []Row{{0, 1, 2, 3}}, MPS2},
		{"g by header", "t_s,ax_g,ay_g,az_g\n0,1,2,3\n", Options{}, []Row{{0, g, 2 * g, 3 * g}}, G},
		{"magnitude", "t_s,mag_raw\n0.00,20450\n0.04,19303\n", Options{}, []Row{{0, 20450, 0, 0}, {0.04, 19303, 0, 0}}, Raw},
		{"JSON", "{\"t\":0,\"ax\":1,\"ay\":2,\"az\":3}\n{\"az\":6,\"note\":\"x\",\"ay\":5,\"ax\":4,\"t\":1e-2}\n", Options{}, []Row{{0, 1, 2, 3}, {0.01, 4, 5, 6}}, MPS2},
		{"JSON in g", `{"t_s":0,"ax_g":1,"ay_g":2,"az_g":3}`, Options{}, []Row{{0, g, 2 * g, 3 * g}}, G},
		{"CRLF, BOM, comments, space", "\uFEFF# phone\r\n\r\n\"T\", ax ,ay,az\r\n# go\r\n 0 ,\"1\",2, 3\r\n\r\n", Options{}, []Row{{0, 1, 2, 3}}, MPS2},
		{"more columns", "gx,az,ay,ax,t\n9,3,2,1,0\n", Options{}, []Row{{0, 1, 2, 3}}, MPS2},
		{"no line end", "t,ax,ay,az\n0,1,2,3", Options{}, []Row{{0, 1, 2, 3}}, MPS2},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows, r, err := readAll(c.text, c.o)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(rows, c.want) {
				t.Errorf("got %v, want %v", rows, c.want)
			}
			if r.Unit() != c.unit || r.MagnitudeOnly() != (c.unit == Raw) {
				t.Errorf("unit %q, magnitude only %v", r.Unit(), r.MagnitudeOnly())
			}
			if w := r.Warnings(); w != nil {
				t.Errorf("warnings: %q", w)
			}
		})
	}
}

// TestOdd has streams with faults that are got over, with a warning.
func TestOdd(t *testing.T) {
	const head = "t,ax,ay,az\n0,1,1,1\n"
	for _, c := range []struct {
		name, text string
		times      []float64
		want       string
	}{
		{"backwards", head + "0.02,1,1,1\n0.01,1,1,1\n0.03,1,1,1\n", []float64{0, 0.02, 0.03}, "rows not later than the one before: 1, left out"},
		{"twice", head + "0,2,2,2\n0.01,1,1,1\n", []float64{0, 0.01}, "rows not later than the one before: 1, left out"},
		{"not finite", head + "0.01,NaN,1,1\n0.02,1,-Inf,1\nnan,1,1,1\n0.03,1e999,1,1\n0.04,1,1,1\n", []float64{0, 0.04}, "rows with a missing or infinite value: 4, left out"},
		{"missing", head + "0.01,,1,1\n0.02,1,1,1\n", []float64{0, 0.02}, "rows with a missing or infinite value: 1, left out"},
		{"missing in JSON", `{"t":0,"mag_raw":1}` + "\n" + `{"t":1,"mag_raw":null}`, []float64{0}, "rows with a missing or infinite value: 1, left out"},
		{"hole", head + "0.01,1,1,1\n2.5,1,1,1\n2.51,1,1,1\n5,1,1,1\n", []float64{0, 0.01, 2.5, 2.51, 5}, "holes: 2, the longest of 2.5 s after 0.0 s"},
		{"long hole", head + "0.01,1,1,1\n0.02,1,1,1\n0.03,1,1,1\n0.04,1,1,1\n9,1,1,1\n9.01,1,1,1\n9.02,1,1,1\n9.03,1,1,1\n9.04,1,1,1\n",
			[]float64{0, 0.01, 0.02, 0.03, 0.04, 9, 9.01, 9.02, 9.03, 9.04}, "holes: 1, the longest of 9.0 s after 0.0 s"},
		{"cut off", head + "0.01,1,1,1\n0.02,1,1", []float64{0, 0.01}, "the last row is cut off and was left out"},
		{"cut off JSON", `{"t":0,"mag_raw":1}` + "\n" + `{"t":1,"mag`, []float64{0}, "the last row is cut off and was left out"},
		{"milliseconds", head + "10,1,1,1\n20,1,1,1\n30,1,1,1\n40,1,1,1\n50,1,1,1\n60,1,1,1\n70,1,1,1\n80,1,1,1\n90,1,1,1\n",
			[]float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90}, "rows are 10 s apart, too far to see steps; times must be in seconds"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows, r, err := readAll(c.text, Options{})
			if err != nil {
				t.Fatal(err)
			}
			var times []float64
			for _, row := range rows {
				times = append(times, row.T)
			}
			if !reflect.DeepEqual(times, c.times) {
				t.Errorf("rows at %v, want %v", times, c.times)
			}
			if w := r.Warnings(); len(w) != 1 || w[0] != "x.csv: "+c.want {
				t.Errorf("warnings %q, want %q", w, c.want)
			}
		})
	}
}

func TestRefused(t *testing.T) {
	const head = "t,ax,ay,az\n0,1,1,1\n"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "x.csv: empty, not even a header"},
		{"only comments", "# a\n\n# b\n", "x.csv: empty, not even a header"},
		{"header only", "t,ax,ay,az\n", "x.csv: no rows in it that can be used"},
		{"no header", "0,1,2,3\n", "x.csv:1: no known set of columns; want t,ax,ay,az, or t_s with ax_mps2,… or ax_g,… or mag_raw"},
		{"mixed units", "t,ax_g,ay_mps2,az_g\n", "x.csv:1: no known set of columns"},
		{"column twice", "t,ax,ay,az,ax\n", `x.csv:1: column "ax" is there twice`},
		{"few columns", head + "1,2,3\n2,1,1,1\n", "x.csv:3: 3 columns, want 4 as in the header"},
		{"many columns", head + "\n1,2,3,4,5\n", "x.csv:4: 5 columns, want 4 as in the header"},
		{"word", head + "0.1,1,fast,1\n", `x.csv:3: column 3: "fast" is not a number`},
		{"long word", head + "0.1,1," + strings.Repeat("y", 1000) + ",1\n", `x.csv:3: column 3: "yyyyyyyyyyyyyyyyyyyy" is not a number`},
		{"long line", head + strings.Repeat("1", 100000) + "\n", "x.csv:3: line longer than 65536 bytes"},
		{"mostly backwards", head + "-1,1,1,1\n-2,1,1,1\n", "x.csv: 2 of 3 rows are out of order; sort them by time, or split joined recordings"},
		{"JSON array", `[1,2]`, "x.csv:1: no known set of columns"},
		{"JSON broken", `{"t":0,"ax":1,"ay":2,"az":3}` + "\n{\"t\":\n{}\n", "x.csv:2: not a JSON object: "},
		{"JSON out of range", `{"t":0,"mag_raw":1}` + "\n" + `{"t":0,"mag_raw":1e999}` + "\n", "x.csv:2: not a JSON object with numbers in range"},
		{"JSON key missing", `{"t":0,"mag_raw":1}` + "\n" + `{"t":0}` + "\n", `x.csv:2: no key "mag_raw"`},
		{"JSON string", `{"t":0,"mag_raw":"1"}`, `x.csv:1: key "mag_raw": want a number`},
		{"JSON keys unknown", `{"time":0,"x":1}`, "x.csv:1: no known set of columns"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := readAll(c.text, Options{})
			if err == nil || !strings.HasPrefix(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

// TestReadFails passes on the error of the input, after the rows before it.
func TestReadFails(t *testing.T) {
	broken := errors.New("unplugged")
	r, err := NewReader("x", io.MultiReader(strings.NewReader("t,mag_raw\n0,1\n"), iotest.ErrReader(broken)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Read(); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if _, err := r.Read(); !errors.Is(err, broken) {
			t.Errorf("got %v, want %v", err, broken)
		}
	}
}

// TestLive gives a row as soon as its line is there.
func TestLive(t *testing.T) {
	pr, pw := io.Pipe()
	defer pw.Close()
	go io.WriteString(pw, "t,mag_raw\n0.5,7\n")
	r, err := NewReader("x", pr, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if row, err := r.Read(); err != nil || row != (Row{T: 0.5, X: 7}) {
		t.Errorf("%v, %v", row, err)
	}
}

func TestLooks(t *testing.T) {
	for text, want := range map[string]bool{
		"t,ax,ay,az\n0":      true,
		"t_s,ax_mps2,":       true,
		"\uFEFFt,ax,ay,":     true,
		"\"t\",\"ax\"":       true,
		"{\"t\":0,\"ax":      true,
		"# phone":            true,
		"":                   false,
		"t":                  false,
		"the notes, of":      false,
		"RIFF\x00\x00\x00":   false,
		"ID3\x04,ax":         false,
		"0.0,1.0,2.0,":       false,
		"\x00\x00\x00 ftypm": false,
	} {
		if got := Looks([]byte(text)); got != want {
			t.Errorf("Looks(%q) = %v", text, got)
		}
	}
}

// FuzzReader reads any text. Rows that come out are finite and in order.
func FuzzReader(f *testing.F) {
	f.Add("t,ax,ay,az\n0,1,2,3\n0.01,NaN,,3\n0.02,1,2,3")
	f.Add("\uFEFFt_s,mag_raw\r\n# x\r\n0x1p-2,1e999\r\n")
	f.Add(`{"t":0,"ax_g":1,"ay_g":null,"az_g":3}` + "\n" + `{"t":1,"ax_g":1,"ay_g":2,"az_g":3}`)
	f.Fuzz(func(t *testing.T, text string) {
		rows, r, err := readAll(text, Options{Unit: G})
		last := math.Inf(-1)
		for _, row := range rows {
			if !finite(row.T) || !finite(row.X) || !finite(row.Y) || !finite(row.Z) || row.T <= last {
				t.Fatalf("row %v after %g", row, last)
			}
			last = row.T
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Fatalf("error of more than one line: %q", err)
		}
		if r != nil {
			_ = fmt.Sprint(r.Warnings())
		}
	})
}

// TestReadAllocates holds CSV to no garbage a row.
func TestReadAllocates(t *testing.T) {
	r, err := NewReader("x", strings.NewReader("t,ax,ay,az\n"+rowsText(2000)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(1000, func() {
		if _, err := r.Read(); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%g allocations a row", n)
	}
}

func rowsText(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "%.2f,%.3f,%.3f,%.3f\n", float64(i)/100, 0.1, 9.8, -0.2)
	}
	return b.String()
}

func BenchmarkRead(b *testing.B) {
	text := "t,ax,ay,az\n" + rowsText(1000)
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := readAll(text, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
