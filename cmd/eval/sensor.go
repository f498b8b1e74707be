package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"

	"steadfoot/audio/sensor"
	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/detect/score/trial"
)

// felt is what was found in a recording of an accelerometer.
type felt struct {
	folder, name string
	seconds      float64
	want, got    int         // steps in all
	cadence      score.Tempo // over windows of feltWindow; none where the steps' times are not known
}

// feltWindow is the length over which a sensor's cadence is compared, s.
const feltWindow = 15

// off is how far the total is off, %.
func (f felt) off() float64 { return 100 * float64(f.got-f.want) / math.Max(float64(f.want), 1) }

// perMinute is the steps found a minute.
func (f felt) perMinute() float64 { return float64(f.got) / max(f.seconds/60, 1e-9) }

// The folders of made recordings.
const (
	madeFolder   = "made"
	idleFolder   = "made, no walk"
	repeatFolder = "made, hands repeating" // told, without a bar
)

// feltMade feels the made walks, and the hands and the table without one.
func feltMade() ([]felt, error) {
	var all []felt
	for _, group := range []struct {
		folder string
		cases  []trial.MotionCase
	}{{madeFolder, trial.Motion()}, {idleFolder, trial.Idle()}, {repeatFolder, trial.Repeating()}} {
		for _, c := range group.cases {
			m := c.Spec.Motion()
			f, err := feel(m.Rows, made.Walk{Steps: m.Steps}.Times())
			if err != nil {
				return nil, fmt.Errorf("%s: %w", c.Name, err)
			}
			f.folder, f.name, f.want = group.folder, c.Name, len(m.Steps)
			all = append(all, f)
		}
	}
	return all, nil
}

// feel runs the detector over rows; steps are the true times, if known.
func feel(rows []made.Row, steps []float64) (felt, error) {
	h, err := trial.HearMotion(rows)
	if err != nil {
		return felt{}, err
	}
	f := felt{got: len(h.Times), cadence: score.Slopes(h.Times, steps, feltWindow)}
	if n := len(rows); n > 0 {
		f.seconds = rows[n-1].T - rows[0].T
	}
	return f, nil
}

// feltFolder feels every accel/*/X.csv below dir whose true number of steps is
// in X.count.txt; their times, where known, are in X.steps.txt.
func feltFolder(dir string) ([]felt, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "accel", "*", "*.csv"))
	if err != nil {
		return nil, err
	}
	var all []felt
	for _, path := range paths {
		base := strings.TrimSuffix(path, ".csv")
		want, err := readCount(base + ".count.txt")
		if err != nil {
			return nil, err
		}
		steps, err := readTimes(base + ".steps.txt")
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return nil, err
		}
		rows, err := readRows(path)
		if err != nil {
			return nil, err
		}
		f, err := feel(rows, steps)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		f.folder, f.name, f.want = filepath.Base(filepath.Dir(path)), stem(path), want
		all = append(all, f)
	}
	return all, nil
}

func readCount(path string) (int, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return 0, err
	}
	n, err := strconv.Atoi(strings.TrimSpace(string(b)))
	if err != nil {
		return 0, fmt.Errorf("%s: want one whole number", path)
	}
	return n, nil
}

func readRows(path string) ([]made.Row, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r, err := sensor.NewReader(path, f, sensor.Options{})
	if err != nil {
		return nil, err
	}
	var rows []made.Row
	for {
		switch row, err := r.Read(); {
		case errors.Is(err, io.EOF):
			return rows, nil
		case err != nil:
			return nil, err
		default:
			rows = append(rows, made.Row{T: row.T, X: row.X, Y: row.Y, Z: row.Z})
		}
	}
}

// printFelt prints what was found in sensor recordings.
func printFelt(out io.Writer, all []felt) {
	fmt.Fprintf(out, "\nSteps found by an accelerometer. near: windows of %d s with the cadence, by the\n"+
		"line of least squares through the steps, within 2 steps/min of the truth (whose times jitter in some recordings); cad max: the worst.\n\n", feltWindow)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "folder\trecording\ttrue\tfound\terror\tnear\tcad max\tper min\t")
	for _, f := range all {
		near, worst := "-", math.NaN()
		if f.cadence.N > 0 {
			near, worst = fmt.Sprintf("%d of %d", f.cadence.Close, f.cadence.N), f.cadence.Worst
		}
		off := "-"
		if f.want > 0 {
			off = fmt.Sprintf("%+.1f %%", f.off())
		}
		fmt.Fprintf(w, "%s\t%s\t%d\t%d\t%s\t%s\t%s\t%.1f\t\n", f.folder, f.name, f.want, f.got, off, near, cell(worst, 1), f.perMinute())
	}
	w.Flush()
}
