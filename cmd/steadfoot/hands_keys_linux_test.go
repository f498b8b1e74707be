package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/coach/event"
)

func TestOpenKeysRefuses(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for where, want := range map[string]string{
		"key:" + file:              "is no input device",
		"key:/dev/null":            "is no input device",
		"button:" + file + "/none": "not a directory",
		"button:" + file + "none":  "is not there",
	} {
		if _, err := openHands(where); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("--hands %s: %v, want %q", where, err, want)
		}
	}
	if err := keyTrouble(&fs.PathError{Op: "open", Path: "x", Err: syscall.EACCES}); !strings.Contains(err.Error(), "usermod -aG input") {
		t.Errorf("no permission: %v, want what mends it", err)
	}
	for keys, want := range map[uint32]bool{
		0xfffffffe:                 false, // a keyboard
		0:                          true,  // volume keys
		1 << 28:                    true,  // Enter
		letters &^ (1 << 16):       true,
		letters:                    false,
		1<<28 | 1<<16 | 1<<17 | 30: true, // a pad with a few letters
	} {
		if grabs(keys) != want {
			t.Errorf("keys %x: grabbed is %v", keys, !want)
		}
	}
}

// TestDoctorOfKeys: who may not read the keys is told how, and it is no fault.
func TestDoctorOfKeys(t *testing.T) {
	for open, want := range map[int]string{0: "usermod -aG input", 2: "1 of 3 devices", 3: "may be read"} {
		if f := judgeKeys(3, open); f.Verdict != isOK || !strings.Contains(f.Found, want) {
			t.Errorf("%d of 3: %+v, want %q", open, f, want)
		}
	}
}

// TestWalkByKeys walks in real time, with a remote, a button and a pipe at once.
func TestWalkByKeys(t *testing.T) {
	t.Parallel() // it waits most of the time
	dir := t.TempDir()
	wav, store := filepath.Join(dir, "quiet.wav"), filepath.Join(dir, "log.db")
	if err := audio.WriteWAV(wav, 8000, 1, audio.S16, make([]float32, 8000*300)); err != nil {
		t.Fatal(err)
	}
	var devices []*os.File
	for _, name := range []string{"remote", "button", "pipe"} {
		path := filepath.Join(dir, name)
		if err := syscall.Mkfifo(path, 0o600); err != nil {
			t.Fatal(err)
		}
		f, err := os.OpenFile(path, os.O_RDWR, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		devices = append(devices, f)
	}
	remote, button, pipe := devices[0], devices[1], devices[2]
	ctx, end := context.WithCancel(t.Context())
	defer end()
	var out, errs shared
	status := make(chan int)
	go func() {
		status <- run(ctx, stdio{strings.NewReader(""), &out, &errs}, []string{"walk", "--cadence", "190",
			"--in", wav, "--out", "none", "--store", store,
			"--hands", "key:" + remote.Name(), "--hands", "button:" + button.Name(), "--hands", pipe.Name()})
	}()
	errs.waitFor(t, "start")
	press := func(f *os.File, code uint16) {
		for _, value := range []int32{1, 2, 0} {
			if _, err := f.Write(keyBytes(strconv.IntSize, 1, code, value)); err != nil {
				t.Error(err)
			}
		}
	}
	press(button, 115)
	errs.waitFor(t, "  lap")
	press(remote, 115)
	errs.waitFor(t, "  volume  ")
	if _, err := pipe.WriteString("pause\n"); err != nil {
		t.Fatal(err)
	}
	errs.waitFor(t, "  paused  ")
	press(remote, 164)
	errs.waitFor(t, "  resumed  ")
	press(remote, 164)
	for n := 0; strings.Count(errs.String(), "  paused  ") < 2; n++ {
		if time.Sleep(50 * time.Millisecond); n == 2400 {
			t.Fatalf("waited 2 min for the second pause in:\n%s", &errs)
		}
	}
	end()
	if code := <-status; code != exitDone {
		t.Fatalf("status %d: %s", code, &errs)
	}
	var got []string
	for _, e := range stored(t, store) {
		if m, ok := e.(event.Mark); ok {
			got = append(got, m.Name)
		}
	}
	if want := []string{"start", "lap", "pause", "resume", "pause", "end"}; !slices.Equal(got, want) {
		t.Errorf("the marks are %q, want %q", got, want)
	}
	for _, f := range devices {
		if _, err := os.Stat(f.Name()); errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s was taken away", f.Name())
		}
	}
}
