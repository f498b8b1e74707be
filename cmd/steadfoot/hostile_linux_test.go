package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"steadfoot/audio"
)

// flow gives a text, and then another one again and again until so many bytes have
// been read.
type flow struct {
	head, again string
	at          int
	left        int64
}

func (f *flow) Read(p []byte) (n int, err error) {
	n = copy(p, f.head)
	f.head = f.head[n:]
	for n < len(p) && f.left > 0 && f.again != "" {
		k := min(copy(p[n:], f.again[f.at:]), int(min(f.left, 1<<30)))
		n, f.at, f.left = n+k, (f.at+k)%len(f.again), f.left-int64(k)
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

const gigabyte = 1 << 30

// a64k is a piece of a long line; long ones are quicker to make of long pieces.
func a64k(s string) string { return strings.Repeat(s, 64<<10/len(s)) }

// TestHostileInput: whatever comes in, however much of it, the program takes what
// makes sense of it or says in one line what is wrong, within a bounded memory.
func TestHostileInput(t *testing.T) {
	dir := t.TempDir()
	sparse := func(name, head string, size int64) string {
		path := filepath.Join(dir, name)
		if err := errors.Join(os.WriteFile(path, []byte(head), 0o600), os.Truncate(path, size)); err != nil {
			t.Fatal(err)
		}
		return path
	}
	text := func(name, format string, a ...any) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, fmt.Appendf(nil, format, a...), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	written := func(name string, in io.Reader) string {
		f, err := os.Create(filepath.Join(dir, name))
		if err == nil {
			_, err = io.Copy(f, in)
		}
		if err := errors.Join(err, f.Close()); err != nil {
			t.Fatal(err)
		}
		return f.Name()
	}
	var second bytes.Buffer // of sound
	if err := audio.EncodeWAV(&second, 16000, 1, audio.S16, make([]float32, 16000)); err != nil {
		t.Fatal(err)
	}
	wav := func(riff, size string) string {
		return riff + "\xff\xff\xff\xff" + second.String()[8:40] + size + second.String()[44:]
	}
	rf64 := "RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00" + strings.Repeat("\x00", 8) + "\x00\x00\x00\x00\x00\x00\x00\x40" + strings.Repeat("\x00", 12) +
		second.String()[12:40] + "\xff\xff\xff\xff" + second.String()[44:]
	columns := "t,ax,ay,az" + strings.Repeat(",x", 1e6) + "\n"
	session := `{"kind":"session","started":"2026-01-01T10:00:00Z"}` + "\n"
	row := `{"t":0,"ax":0,"ay":0,"az":1,"x":`
	profile := text("mira.toml", "name = \"Mira Tal\"\n[target]\ncadence = 190\n")
	for _, c := range []struct {
		name string
		in   io.Reader
		args []string
		says string // in the line of an error; "" when there is none
		out  string // on standard output or in a warning
	}{
		{"a line of 1 GB of digits", &flow{again: a64k("9"), left: gigabyte}, []string{"steps", "-"}, "standard input", ""},
		{"a line of 1 GB in rows", &flow{head: "t,ax,ay,az\n0,0,0,1\n", again: a64k("9"), left: gigabyte}, []string{"steps", "-"}, "standard input:3: line longer than", ""},
		{"a line of 1 GB of packets", &flow{head: "t,rsc\n0,00", again: a64k("00"), left: gigabyte}, []string{"steps", "-"}, "standard input:2: line longer than", ""},
		{"a line of 1 GB in a walk", &flow{head: "t,ax,ay,az\n0,0,0,1\n", again: a64k("9"), left: gigabyte}, []string{"walk", "--cadence", "190", "--in", "-", "--out", "none", "--store", filepath.Join(dir, "log.db")}, "line longer than", ""},
		{"a comment of 1 GB", &flow{head: "t,ax,ay,az\n0,0,0,1\n#", again: a64k("#"), left: gigabyte}, []string{"steps", "-"}, "line longer than", ""},
		{"a million columns", strings.NewReader(columns + "0,0,0,1\n"), []string{"steps", "-"}, "standard input:1: line longer than", ""},
		{"a million columns in a row", strings.NewReader("t,ax,ay,az\n0,0,0,1" + strings.Repeat(",0", 1e6)), []string{"steps", "-"}, "standard input:2: line longer than", ""},
		{"thirty thousand columns", strings.NewReader("t,ax,ay,az" + strings.Repeat(",x", 30000) + "\n0,0,0,1\n"), []string{"steps", "-"}, "standard input:", ""},
		{"JSON nested a million deep", strings.NewReader(row + strings.Repeat("[", 1e6) + strings.Repeat("]", 1e6) + "}\n"), []string{"steps", "-"}, "standard input:1: line longer than", ""},
		{"JSON nested twenty thousand deep", strings.NewReader(row + strings.Repeat("[", 2e4) + strings.Repeat("]", 2e4) + "}\n"), []string{"steps", "-"}, "standard input:", ""},
		{"JSON of a million keys", strings.NewReader(row + "0" + strings.Repeat(`,"k":0`, 1e6) + "}\n"), []string{"steps", "-"}, "standard input:1: line longer than", ""},
		{"a WAV of 4 GB that is short", strings.NewReader(wav("RIFF", "\xff\xef\xff\x7f")), []string{"steps", "-"}, "", "cut off after 1.0 s of the"},
		{"the same as a file", nil, []string{"steps", text("short.wav", "%s", wav("RIFF", "\xff\xef\xff\x7f"))}, "", "cut off after 1.0 s of the"},
		{"a WAV of no known length", strings.NewReader(wav("RIFF", "\xff\xff\xff\xff")), []string{"steps", "-"}, "", "No steps found in 0:01"},
		{"an RF64 of 4 EB that is short", strings.NewReader(rf64), []string{"steps", "-"}, "", "cut off after 1.0 s of the"},
		{"a WAV that goes on for long", &flow{head: wav("RIFF", "\xff\xff\xff\xff"), again: a64k("\x00"), left: 16 << 20}, []string{"steps", "-"}, "", "No steps found in 8:"},
		{"noise of 1 GB", &flow{head: "\x00\x01", again: a64k("\x00\xfe\x01\x80\x00\x7f"), left: gigabyte}, []string{"steps", "-"}, "standard input", ""},
		{"a profile of 100 MB", nil, []string{"target", "--distance", "1km", "--time", "5:00", "--profile", sparse("huge.toml", "name = \"x\"\n", 100<<20)}, "huge.toml: more than 64 kB is no profile", ""},
		{"a session of 100 MB", nil, []string{"session", "check", sparse("huge-session.toml", "name = \"x\"\n", 100<<20)}, "is no session", ""},
		{"a session of a million reps", nil, []string{"session", "check", text("many.toml", "name = \"x\"\n[[set]]\nrounds = 50\n[[set.rep]]\ntimes = 20000\nfor = \"1 km\"\n")}, "many.toml:", ""},
		{"a session of many sets of many reps", nil, []string{"session", "check", text("manymany.toml", "name = \"x\"\n%s", strings.Repeat("[[set]]\nrounds = 50\n[[set.rep]]\ntimes = 50\nfor = \"1 km\"\n", 1000))}, "manymany.toml", ""},
		{"a session of a million sets", nil, []string{"session", "check", written("sets.toml", &flow{head: "name = \"x\"\n", again: "[[set]]\nreps = 1\n", left: 17e6})}, "is no session", ""},
		{"a session of nested tables", nil, []string{"session", "check", text("nested.toml", "name = %s1%s\n", strings.Repeat("[", 100000), strings.Repeat("]", 100000))}, "nested.toml", ""},
		{"an import of a line of 1 GB", nil, []string{"import", sparse("zeros.jsonl", session, gigabyte), "--store", filepath.Join(dir, "new.db")}, "zeros.jsonl: a line is longer than 16 MB", ""},
		{"an import without end", nil, []string{"import", written("flood.jsonl", &flow{head: session, again: `{"kind":"step","t":1}` + "\n", left: 22 * 1000001}), "--store", filepath.Join(dir, "new.db")}, "more than 1000000 events", ""},
		{"taps of 1 GB", nil, []string{"measure", "--taps", sparse("taps.txt", "1 cone\n", gigabyte), "--distance", "50m", "--profile", profile}, "taps.txt: a line is far too long", ""},
		{"a certificate of 1 GB", nil, []string{"lead", "--tls", "--tls-cert", sparse("cert.pem", "x", gigabyte), "--tls-key", profile, "--cadence", "190"}, "cert.pem: more than 1024 kB is no certificate", ""},
		{"a store that is none, of 1 GB", nil, []string{"log", "list", "--store", sparse("no.db", "x", gigabyte)}, "no.db", ""},
		{"a store to merge that is none", nil, []string{"log", "merge", sparse("no2.db", "SQLite format 3\x00", gigabyte), "--store", filepath.Join(dir, "new.db")}, "no2.db", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel() // each is a process of its own
			self, err := os.Executable()
			if err != nil {
				t.Fatal(err)
			}
			cmd := exec.Command(self)
			cmd.Args = append([]string{"steadfoot"}, c.args...)
			cmd.Dir, cmd.Stdin = dir, c.in
			cmd.Env = append(os.Environ(), "XDG_CONFIG_HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_STATE_HOME="+dir)
			var out, errs bytes.Buffer
			cmd.Stdout, cmd.Stderr = &out, &errs
			err = cmd.Run()
			memory := cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss >> 10
			t.Logf("status %d, %d MB, %v: %s", cmd.ProcessState.ExitCode(), memory, cmd.ProcessState.UserTime(), strings.TrimSpace(errs.String()))
			if memory > 400 {
				t.Errorf("%d MB of memory", memory)
			}
			status := cmd.ProcessState.ExitCode()
			if c.says == "" {
				if status != exitDone || !strings.Contains(out.String()+errs.String(), c.out) {
					t.Errorf("status %d, %v; want %q in\n%s%s", status, err, c.out, &out, &errs)
				}
				return
			}
			lines := strings.Split(strings.TrimSpace(errs.String()), "\n")
			last := lines[len(lines)-1]
			if status != exitFailed || !strings.HasPrefix(last, "steadfoot "+c.args[0]) || !strings.Contains(last, c.says) || len(last) > 1000 {
				t.Errorf("status %d, %v; want one line with %q:\n%s", status, err, c.says, &errs)
			}
		})
	}
}

// TestHandsLongLine: of a line of 1 GB from a pipe or socket no more than a buffer
// is held, it is told once, and the next line counts.
func TestHandsLongLine(t *testing.T) {
	in := newHandLines(io.MultiReader(&flow{head: "lap\n", again: a64k("x"), left: gigabyte}, strings.NewReader("\nskip\n")))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	var lines []string
	long := 0
	for {
		line, err := in.next()
		switch {
		case errors.Is(err, errHandsLong):
			long++
		case errors.Is(err, errHandsMore):
		case err != nil:
			runtime.ReadMemStats(&after)
			if got := strings.Join(lines, ""); got != "lap\nskip\n" || long != 1 || err != io.EOF {
				t.Errorf("%q, told %d times, %v", got, long, err)
			}
			if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 10 {
				t.Errorf("%d MB were asked for", took)
			}
			return
		default:
			lines = append(lines, line)
		}
	}
}
