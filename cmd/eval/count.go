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

	"steadfoot/audio/sensor"
	"steadfoot/detect/made"
	"steadfoot/detect/score/trial"
)

// count is the total of a sensor recording.
type count struct {
	folder, name string
	want, got    int
}

// fewest is from how many steps on a total is judged. Shorter recordings are
// judged by the sum of their folder.
const fewest = 50

// limit is how far off the total may be, as a share; ok is false when it is
// only shown.
func (c count) limit() (share float64, ok bool) {
	return 0.03, c.judged() && c.want >= fewest
}

// judged tells whether the folder is of walks and runs that must be counted
// right; the wrist's other activities are only shown.
func (c count) judged() bool {
	return c.folder == "phone_walks" || c.folder == "phone_counts" || c.folder == "made"
}

// off is how far the total is off, as a share of the truth.
func (c count) off() float64 {
	return math.Abs(float64(c.got-c.want)) / math.Max(float64(c.want), 1)
}

func (c count) percent() string {
	return fmt.Sprintf("%+.1f %%", 100*float64(c.got-c.want)/math.Max(float64(c.want), 1))
}

// countMade counts the steps of the made sensor walks.
func countMade() ([]count, error) {
	var counts []count
	for _, c := range trial.Motion() {
		m := c.Spec.Motion()
		h, err := trial.HearMotion(m.Rows)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Name, err)
		}
		counts = append(counts, count{"made", c.Name, len(m.Steps), len(h.Times)})
	}
	return counts, nil
}

// countFolder counts the steps of every accel/*/X.csv below dir whose true
// number is in X.count.txt.
func countFolder(dir string) ([]count, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "accel", "*", "*.csv"))
	if err != nil {
		return nil, err
	}
	var counts []count
	for _, path := range paths {
		c := count{folder: filepath.Base(filepath.Dir(path))}
		c.name = c.folder + "/" + stem(path)
		if c.want, err = readCount(strings.TrimSuffix(path, ".csv") + ".count.txt"); err != nil {
			return nil, err
		}
		rows, err := readRows(path)
		if err != nil {
			return nil, err
		}
		h, err := trial.HearMotion(rows)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		c.got = len(h.Times)
		counts = append(counts, c)
	}
	return append(counts, pool(counts)...), nil
}

// pool sums the recordings of each judged folder that are too short to be judged alone.
func pool(counts []count) []count {
	var sums []count
	for _, c := range counts {
		if !c.judged() || c.want >= fewest {
			continue
		}
		if n := len(sums); n == 0 || sums[n-1].folder != c.folder {
			sums = append(sums, count{folder: c.folder, name: c.folder + ", short ones together"})
		}
		last := &sums[len(sums)-1]
		last.want, last.got = last.want+c.want, last.got+c.got
	}
	return sums
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
