package main

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
)

// TestClaps: jobs of one kind are summed up, and the bars count what was clapped,
// and every false one but those of a machine.
func TestClaps(t *testing.T) {
	job := func(group string, c clapped) clapJob {
		return clapJob{group, func() (clapped, error) { return c, nil }}
	}
	rows, err := hearClaps([]clapJob{
		job(softClaps, clapped{doubles: 5, heard: 4, hours: 0.5}),
		job(clapless+"wind", clapped{wrong: 1, hours: 0.5}),
		job(softClaps, clapped{doubles: 5, heard: 5, wrong: 1, hours: 0.5}),
		job(clapLeak, clapped{hours: 0.5}),
		job(clapRhythm, clapped{wrong: 70, hours: 1}),
	}, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	if want := (clapped{group: softClaps, walks: 2, hours: 1, doubles: 10, heard: 9, wrong: 1}); len(rows) != 4 || rows[0] != want {
		t.Fatalf("rows %+v, want four and %+v first", rows, want)
	}
	var out bytes.Buffer
	printClaps(&out, rows)
	if want := softClaps + " 2 1.00 10 9 1 " + clapless; !strings.Contains(strings.Join(strings.Fields(out.String()), " "), want) {
		t.Errorf("no %q in\n%s", want, &out)
	}
	var j judge
	j.claps(rows)
	if len(j.bars) != 2 || j.bars[0].got != 90 || j.bars[0].verdict(true) != fails || j.bars[1].got != 1 || j.bars[1].verdict(true) != held {
		t.Errorf("bars %+v, want 90 %% heard, which fails, and 1 false an hour", j.bars)
	}
	bad := errors.New("no such walk")
	if _, err := hearClaps([]clapJob{{softClaps, func() (clapped, error) { return clapped{}, bad }}}, io.Discard); !errors.Is(err, bad) {
		t.Errorf("error %v", err)
	}
}
