package main

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"steadfoot/audio"
)

// TestMain lets the scripts run the test binary as the program itself.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"steadfoot": main})
}

// scriptCommands are commands that exist in the scripts only. A test file adds
// its own in an init function.
var scriptCommands = map[string]func(ts *testscript.TestScript, neg bool, args []string){
	"makesound": makeSound,
	"makerows":  makeRows,
	"cut":       cutFile,
}

// TestScript runs the program as a user does: every file in testdata/script is
// a script in the language of the testscript package.
func TestScript(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:  "testdata/script",
		Cmds: scriptCommands,
		Setup: func(e *testscript.Env) error {
			// ffmpeg and the like come from the machine; the store and the
			// profiles must not.
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("XDG_DATA_HOME", e.WorkDir+"/data")
			e.Setenv("XDG_CONFIG_HOME", e.WorkDir+"/config")
			return nil
		},
	})
}

// makeSound is "makesound FILE KIND SECONDS FORMAT": a mono WAV at 16 kHz.
// KIND is silence, noise, clipped, notnumbers or thumps, which are bursts of
// falling noise 180 times a minute, from 1 s on.
func makeSound(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: makesound file kind seconds format")
	}
	const rate = 16000
	seconds, err := strconv.ParseFloat(args[2], 64)
	ts.Check(err)
	r := rand.New(rand.NewPCG(5, 6))
	x := make([]float32, int(seconds*rate))
	for i := range x {
		noise, t := r.NormFloat64(), float64(i)/rate
		switch args[1] {
		case "noise":
			x[i] = float32(0.05 * noise)
		case "clipped":
			x[i] = float32(max(-1, min(1, 5*math.Sin(200*t))))
		case "notnumbers":
			x[i] = float32(math.NaN())
		case "thumps":
			x[i] = float32(0.001 * noise)
			if t >= 1 {
				x[i] += float32(0.3 * noise * math.Exp(-math.Mod(t-1, 60./180)/0.02))
			}
		}
	}
	ts.Check(audio.WriteWAV(ts.MkAbs(args[0]), rate, 1, audio.Format(args[3]), x))
}

// makeRows is "makerows FILE CSV|JSON NAMES UNIT": 40 s of a body that moves up
// and down 3 m/s² 170 times a minute, in rows at an irregular 80 a second.
// UNIT is what one in the file is in m/s².
func makeRows(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: makerows file csv|json names unit")
	}
	names := strings.Split(args[2], ",")
	unit, err := strconv.ParseFloat(args[3], 64)
	ts.Check(err)
	var b strings.Builder
	if args[1] == "csv" {
		b.WriteString(args[2] + "\n")
	}
	r := rand.New(rand.NewPCG(7, 8))
	for t := 0.0; t < 40; t += (0.5 + r.Float64()) / 80 {
		a := (9.81 + 3*math.Sin(2*math.Pi*t*170/60)) / unit
		values := []float64{t, 0.6 * a, 0, 0.8 * a}
		if len(names) == 2 {
			values = []float64{t, a}
		}
		var fields []string
		for i, v := range values {
			f := strconv.FormatFloat(v, 'f', 6, 64)
			if args[1] == "json" {
				f = strconv.Quote(names[i]) + ":" + f
			}
			fields = append(fields, f)
		}
		line := strings.Join(fields, ",")
		if args[1] == "json" {
			line = "{" + line + "}"
		}
		b.WriteString(line + "\n")
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(b.String()), 0o600))
}

// cutFile is "cut FILE BYTES": it shortens the file.
func cutFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: cut file bytes")
	}
	n, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), n))
}
