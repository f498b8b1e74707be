package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"
	"unicode"
	"unicode/utf8"

	"steadfoot/audio"
	"steadfoot/coach/event"
)

func TestParseHand(t *testing.T) {
	for _, c := range []struct {
		line string
		want event.Mark
	}{
		{"lap\n", event.Mark{Name: event.MarkLap}},
		{"  LAP  into \t the wind \r\n", event.Mark{Name: event.MarkLap, Note: "into the wind"}},
		{"lap \x1b[2Jred\xff\x00", event.Mark{Name: event.MarkLap, Note: "[2Jred"}},
		{"skip", event.Mark{Name: event.MarkSkip}},
		{"Pause\n", event.Mark{Name: event.MarkPause}},
		{"resume", event.Mark{Name: event.MarkResume}},
		{"beat on", event.Mark{Name: event.MarkBeatOn}},
		{"beat  OFF", event.Mark{Name: event.MarkBeatOff}},
		{"target +1", event.Mark{Name: event.MarkTarget, Value: 1}},
		{"target -20", event.Mark{Name: event.MarkTarget, Value: -20}},
		{"\n", event.Mark{}},
	} {
		if m, err := parseHand(c.line); err != nil || m != c.want {
			t.Errorf("%q is %+v (%v), want %+v", c.line, m, err, c.want)
		}
	}
	for _, line := range []string{"jump", "target", "target 1", "target +0", "target +21", "target +1 1", "target ++1",
		"target +99999999999999999999", "beat", "beat loud", "pause now", "laps", "start", "end"} {
		if m, err := parseHand(line); err == nil || !strings.Contains(err.Error(), "want") {
			t.Errorf("%q is %+v (%v), want an error that says what to write", line, m, err)
		}
	}
}

func FuzzHands(f *testing.F) {
	f.Add([]byte("lap first\nbeat off\ntarget +1"))
	f.Add([]byte("jump\n\n\r\ntarget -99\n"))
	f.Add(bytes.Repeat([]byte("long "), 2000))
	known := []string{"", event.MarkLap, event.MarkSkip, event.MarkPause, event.MarkResume, event.MarkTarget, event.MarkBeatOn, event.MarkBeatOff}
	f.Fuzz(func(t *testing.T, data []byte) {
		in := newHandLines(bytes.NewReader(data))
		for {
			line, err := in.next()
			if err == io.EOF {
				return
			}
			if err != nil {
				continue
			}
			if len(line) > handLine {
				t.Fatalf("a line of %d bytes", len(line))
			}
			m, err := parseHand(line)
			if err != nil {
				if strings.ContainsAny(err.Error(), "\n\x1b") {
					t.Fatalf("the error is %q", err)
				}
				continue
			}
			if !slices.Contains(known, m.Name) || m.Value < -mostShift || m.Value > mostShift ||
				!utf8.ValidString(m.Note) || strings.ContainsFunc(m.Note, func(r rune) bool { return !unicode.IsPrint(r) }) {
				t.Fatalf("%q is %+v", line, m)
			}
		}
	})
}

func TestHandLines(t *testing.T) {
	long := strings.Repeat("x", 100_000)
	in := newHandLines(strings.NewReader("lap\n" + long + "\nskip\n" + strings.Repeat("y", handLine) + "\npause"))
	var got []string
	for {
		line, err := in.next()
		switch {
		case err == io.EOF:
			if want := []string{"lap\n", "too long", "skip\n", "too long", "pause"}; !slices.Equal(got, want) {
				t.Errorf("the lines are %q, want %q", got, want)
			}
			return
		case errors.Is(err, errHandsLong):
			got = append(got, "too long")
		case err == nil:
			got = append(got, line)
		}
	}
}

// testHands are hands without a pipe, which note what is told.
func testHands(ctx context.Context, marks chan event.Mark) (*hands, *[]string) {
	var told []string
	h := &hands{ctx: ctx, spare: ration{burst: handBurst, rate: handRate, clock: monotonic()}}
	h.marks = marks
	h.tell = func(text string) bool { told = append(told, text); return true }
	return h, &told
}

// TestHandsFlood: a million lines do not reach the walk, are told once, and are
// forgotten soon after they have ended.
func TestHandsFlood(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		marks := make(chan event.Mark, 1000)
		h, told := testHands(t.Context(), marks)
		r, w := io.Pipe()
		ended := make(chan error)
		answers := 0
		go func() {
			ended <- h.serve(r, func(error) error { answers++; return nil })
		}()
		flood := bytes.Repeat([]byte("lap\n"), 1_000_000)
		began := time.Now()
		if _, err := w.Write(flood); err != nil {
			t.Fatal(err)
		}
		took := time.Since(began).Seconds()
		if n, most := len(marks), handBurst+handRate*took+1; float64(n) > most || n < handBurst {
			t.Errorf("%d marks in %.1f s, want %d to %.0f", n, took, handBurst, most)
		}
		if len(*told) != 1 || (*told)[0] != errHandsFlood.Error() {
			t.Errorf("told %q, want the flood once", *told)
		}
		if answers != len(marks)+1 {
			t.Errorf("%d answers to %d marks", answers, len(marks))
		}
		time.Sleep(3 * time.Second)
		for len(marks) > 0 {
			<-marks
		}
		if _, err := io.WriteString(w, "pause\njump\n"); err != nil {
			t.Fatal(err)
		}
		w.Close()
		if err := <-ended; err != io.EOF {
			t.Error(err)
		}
		if m := <-marks; m.Name != event.MarkPause || len(*told) != 2 {
			t.Errorf("after the flood %+v, told %q", m, *told)
		}
	})
}

// TestHandsEndlessLine: it is told once, read slowly, and left when the walk ends.
func TestHandsEndlessLine(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, end := context.WithTimeout(t.Context(), 10*time.Second)
		defer end()
		h, told := testHands(ctx, make(chan event.Mark, 1))
		read := 0
		err := h.serve(readerFunc(func(p []byte) (int, error) {
			read += len(p)
			return copy(p, bytes.Repeat([]byte("x"), len(p))), nil
		}), func(error) error { return nil })
		if !errors.Is(err, context.DeadlineExceeded) || len(*told) != 1 || read > 10<<20 {
			t.Errorf("%v, told %q, %d bytes read", err, *told, read)
		}
	})
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

// TestHandsBusy: a walk that takes nothing holds nobody up.
func TestHandsBusy(t *testing.T) {
	h, told := testHands(t.Context(), make(chan event.Mark, 1))
	if err := h.serve(strings.NewReader("lap\nlap\n"), func(error) error { return nil }); err != io.EOF {
		t.Error(err)
	}
	if !slices.Equal(*told, []string{errHandsBusy.Error()}) {
		t.Errorf("told %q", *told)
	}
}

func TestOpenHandsRefuses(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	busy, err := net.Listen("unix", filepath.Join(dir, "busy"))
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	for where, want := range map[string]string{
		file:                               "is no named pipe",
		dir:                                "is no named pipe",
		filepath.Join(dir, "no", "pipe"):   "a folder that is there",
		"unix:" + file:                     "is no socket",
		"unix:":                            "want a path",
		"unix:" + busy.Addr().String():     "another program listens",
		"unix:" + dir + "/no/socket":       "a folder that is there",
		"unix:" + strings.Repeat("x", 300): "at most 100 letters",
		"key:":                             "want a device",
		"button:":                          "want a device",
	} {
		h, err := openHands(where)
		if err == nil {
			h.close()
		}
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("--hands %s: %v, want %q", where, err, want)
		}
	}
	if b, err := os.ReadFile(file); string(b) != "mine" {
		t.Errorf("the file now holds %q (%v)", b, err)
	}
}

// TestWalkBySocket walks in real time and sends it marks over a socket.
func TestWalkBySocket(t *testing.T) {
	t.Parallel() // it waits most of the time
	dir := t.TempDir()
	wav, store, socket := filepath.Join(dir, "quiet.wav"), filepath.Join(dir, "log.db"), filepath.Join(dir, "hands")
	if err := audio.WriteWAV(wav, 8000, 1, audio.S16, make([]float32, 8000*300)); err != nil {
		t.Fatal(err)
	}
	stale, err := net.ListenUnix("unix", &net.UnixAddr{Name: socket})
	if err != nil {
		t.Fatal(err)
	}
	stale.SetUnlinkOnClose(false) // as a killed walk leaves it
	stale.Close()
	ctx, end := context.WithCancel(t.Context())
	defer end()
	var out, errs shared
	status := make(chan int)
	go func() {
		status <- run(ctx, stdio{strings.NewReader(""), &out, &errs}, []string{"walk", "--cadence", "190",
			"--in", wav, "--out", "none", "--store", store, "--hands", "unix:" + socket})
	}()
	errs.waitFor(t, "start")
	c, err := net.Dial("unix", socket)
	if err != nil {
		t.Fatal(err)
	}
	answers := bufio.NewReader(c)
	for _, x := range [][2]string{{"lap first", "ok"}, {"jump", `error: "jump" is not known`}, {"target +2", "ok"}, {"pause", "ok"}, {"resume", "ok"}} {
		if _, err := io.WriteString(c, x[0]+"\n"); err != nil {
			t.Fatal(err)
		}
		if a, err := answers.ReadString('\n'); err != nil || !strings.HasPrefix(a, x[1]) {
			t.Errorf("%s is answered with %q (%v)", x[0], a, err)
		}
	}
	errs.waitFor(t, `hands        "jump" is not known`)
	end()
	if code := <-status; code != exitDone {
		t.Fatalf("status %d: %s", code, &errs)
	}
	if _, err := os.Lstat(socket); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the socket is still there (%v)", err)
	}
	if a, err := answers.ReadString('\n'); err == nil {
		t.Errorf("the connection outlived the walk: %q", a)
	}
	var got []event.Mark
	for _, e := range stored(t, store) {
		if m, ok := e.(event.Mark); ok {
			if m.T < 0 || m.T > 300 {
				t.Errorf("a mark at %v s", m.T)
			}
			m.T = 0
			got = append(got, m)
		}
	}
	want := []event.Mark{{Name: event.MarkStart}, {Name: event.MarkLap, Note: "first"}, {Name: event.MarkTarget, Value: 2},
		{Name: event.MarkPause}, {Name: event.MarkResume}, {Name: event.MarkEnd}}
	if !slices.Equal(got, want) {
		t.Errorf("the marks are %+v, want %+v", got, want)
	}
}
