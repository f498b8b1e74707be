package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"steadfoot/audio/device"
	"steadfoot/audio/device/virtual"
	"steadfoot/cmd/steadfoot/power"
	"steadfoot/profiles"
)

// TestJudgements holds each judgement to its verdict and words, and to naming
// what mends it whenever not all is well.
func TestJudgements(t *testing.T) {
	mic := device.Info{Name: "Mic", Inputs: 1, DefaultInput: true}
	ear := device.Info{Name: "Ear", Outputs: 2, DefaultOutput: true}
	other := device.Info{Name: "Line", Inputs: 2, Outputs: 2}
	mira := profiles.Athlete{Name: "Mira Tal", StepLength: profiles.Constant(1.05)}
	unicode := map[string]string{"TERM": "xterm-256color", "LANG": "en_GB.UTF-8"}
	for _, c := range []struct {
		got  []finding
		want string // verdict and words of each, with | between
	}{
		{judgeDevices([]device.Info{mic, ear, other}, nil), `ok 3 devices; the default ones are "Mic" and "Ear"`},
		{judgeDevices([]device.Info{ear}, nil), "fault no microphone"},
		{judgeDevices([]device.Info{other}, nil), "fault 1 microphone, but none is the default|fault 1 output, but"},
		{judgeDevices(nil, nil), "fault no microphone|fault no earphones"},
		{judgeDevices(nil, errors.New("it hangs")), "fault it hangs"},
		{judgeTrial(trial{err: errors.New("busy")}), "fault busy"},
		{judgeTrial(trial{noInput: true, first: time.Second}), "ok opens|ok round trip"},
		{judgeTrial(trial{noInput: true, first: 3 * time.Second}), "warning only after 3.0 s|ok driver"},
		{judgeTrial(trial{noInput: true, stats: device.Stats{Lost: 4800}}), "ok opens|warning 100 ms lost|ok driver"},
		{judgeTrial(trial{x: tone(0.1, 0)}), "ok opens|ok driver|ok level -23 dB"},
		{judgeTrial(trial{x: tone(0.1, 0), stats: device.Stats{Streams: 1, Drift: 3, DriftSD: 80}}), "ok opens|ok 1 stream for both; the earphones' clock runs +3.0 ± 262.5 ppm|ok driver|ok level"},
		{judgeTrial(trial{x: tone(0.1, 0), stats: device.Stats{Streams: 2, Drift: -150, DriftSD: 20}}), "ok opens|ok 2 streams for both; the earphones' clock runs -150.0 ± 250.8 ppm|ok driver|ok level"},
		{[]finding{judgeMic(make([]float32, 9600))}, "fault digital silence"},
		{[]finding{judgeMic(tone(0, 0.1))}, "fault digital silence"}, // it is constant
		{[]finding{judgeMic(tone(0.0001, 0.1))}, "warning soft"},
		{[]finding{judgeMic(tone(0.0005, 0))}, "ok level -69 dB re full scale, peak -66 dB"},
		{[]finding{judgeMic(tone(1, 0))}, "warning clipped"},
		{[]finding{judgeMic([]float32{float32(math.NaN())})}, "fault no numbers"},
		{[]finding{judgeRoom(1 << 20)}, "fault only 1.0 MB free"},
		{[]finding{judgeRoom(100 << 20)}, "warning only 104.9 MB free"},
		{[]finding{judgeRoom(5e9)}, "ok 5.0 GB free"},
		{judgeProfile("mira", mira, "Built-in Audio"), "ok step length known"},
		{judgeProfile("mira", mira, "default bluez_output.00"), "warning looks wireless"},
		{judgeProfile("mira", profiles.Athlete{LatencyMS: 160}, "Bluetooth"), "warning no step length"},
		{judgeTerminal(mapped(unicode), 100, 30), "ok xterm-256color, 100 by 30, UTF-8"},
		{judgeTerminal(mapped(unicode), 0, 0), "ok line by line"},
		{judgeTerminal(mapped(unicode), 30, 8), "warning 30 columns"},
		{judgeTerminal(mapped(map[string]string{"TERM": "dumb"}), 80, 24), "warning line by line"},
		{judgeTerminal(mapped(map[string]string{"TERM": "xterm", "LC_ALL": "C"}), 80, 24), "warning ASCII"},
		{judgeTerminal(mapped(map[string]string{"TERM": "xterm", "LANG": "C.UTF-8", "NO_COLOR": "1"}), 80, 24), "ok no colours"},
		{[]finding{judgeSpeed(200, 15, 15)}, "ok 200 times"},
		{[]finding{judgeSpeed(2, 15, 15)}, "warning only 2.0 times"},
		{[]finding{judgeSpeed(0.5, 15, 15)}, "fault too slow"},
		{[]finding{judgeSpeed(200, 3, 15)}, "fault of 15 steps of a made walk 3"},
		{[]finding{judgeBattery(power.State{}, false)}, "ok there is none"},
		{[]finding{judgeBattery(power.State{Percent: 4, Level: power.Critical}, true)}, "ok at 4 %, and the machine does not live on it"},
		{[]finding{judgeBattery(power.State{Percent: 64, Discharging: true, Left: 2 * time.Hour}, true)}, "ok at 64 %, about 2 h 00 min left"},
		{[]finding{judgeBattery(power.State{Percent: 14, Discharging: true, Level: power.Low}, true)}, "warning at 14 %"},
		{[]finding{judgeBattery(power.State{Percent: -1, Discharging: true, Level: power.Critical}, true)}, "warning all but empty"},
		{[]finding{judgeClock(time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC))}, "warning 1970-01-01"},
		{[]finding{judgeClock(time.Date(2026, 11, 25, 4, 0, 0, 0, time.UTC))}, "ok 2026-11-25 04:00 UTC"},
	} {
		wants := strings.Split(c.want, "|")
		if len(c.got) != len(wants) {
			t.Errorf("%d findings, want %q: %+v", len(c.got), c.want, c.got)
			continue
		}
		for i, f := range c.got {
			as, words, _ := strings.Cut(wants[i], " ")
			if string(f.Verdict) != as || !strings.Contains(f.Found, words) || (f.Verdict == isOK) != (f.Mend == "") {
				t.Errorf("%+v, want %s", f, wants[i])
			}
		}
	}
}

func tone(amplitude, offset float64) []float32 {
	x := make([]float32, 9600)
	for i := range x {
		x[i] = float32(offset + amplitude*math.Sin(2*math.Pi*float64(i)/48))
	}
	return x
}

func mapped(m map[string]string) func(string) string {
	return func(name string) string { return m[name] }
}

// TestCheckLeftBehind: one that never answers holds nobody up.
func TestCheckLeftBehind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		never := make(chan bool)
		defer close(never)
		got := within(t.Context(), time.Minute, func(context.Context, *checkup) []finding { <-never; return nil }, nil)
		if len(got) != 1 || got[0].Verdict != isFault || got[0].Mend == "" {
			t.Errorf("%+v", got)
		}
		done := within(t.Context(), time.Minute, func(ctx context.Context, _ *checkup) []finding {
			<-ctx.Done()
			return []finding{okay("late")}
		}, nil)
		if len(done) != 1 || done[0].Found != "late" {
			t.Errorf("what ends with its time says %+v", done)
		}
	})
}

func TestShellWord(t *testing.T) {
	for path, want := range map[string]string{"a/log.db": "a/log.db", "my walks.db": "'my walks.db'", "it's.db": `'it'\''s.db'`} {
		if got := shellWord(path); got != want {
			t.Errorf("%s is %s, want %s", path, got, want)
		}
	}
}

// TestCheckSpeed: the detector at work finds the steps of its walk.
func TestCheckSpeed(t *testing.T) {
	f := checkSpeed(t.Context(), nil)
	if len(f) != 1 || strings.Contains(f[0].Found, "made walk") {
		t.Errorf("%+v", f)
	}
}

// doctorOn runs the doctor beside a sound server and returns its findings by
// name, the worst of each.
func doctorOn(t *testing.T, srv *virtual.PulseServer, bin string, args ...string) map[string]finding {
	t.Helper()
	args = virtual.Prefer(append([]string{bin, "doctor", "--json"}, args...)...)
	cmd := srv.Command(args[0], args[1:]...)
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	found := map[string]finding{}
	rank := map[verdict]int{"": 0, isOK: 1, isWarning: 2, isFault: 3}
	faults := 0
	for d := json.NewDecoder(bytes.NewReader(out)); d.More(); {
		var f finding
		if err := d.Decode(&f); err != nil {
			t.Fatalf("%v in\n%s", err, out)
		}
		if rank[f.Verdict] > rank[found[f.Check].Verdict] {
			found[f.Check] = f
		}
		if f.Verdict == isFault {
			faults++
		}
	}
	if status := cmd.ProcessState.ExitCode(); (faults > 0) != (status == exitFailed) || (err == nil) != (status == exitDone) {
		t.Errorf("%d faults and exit status %d: %v %s", faults, status, err, &errs)
	}
	return found
}

// TestDoctorOnSoundPath has the doctor listen to a real sound server: to a walk,
// to nothing, to one that plays to wireless earbuds, and to one that hangs.
func TestDoctorOnSoundPath(t *testing.T) {
	srv := virtual.Pulse(t)
	bin := buildProgram(t)
	wav, _ := pathWalk(t, 20)
	dir := t.TempDir()
	mira := filepath.Join(dir, "mira-tal.toml")
	if err := os.WriteFile(mira, []byte("name = \"Mira Tal\"\nstep_length = 1.05\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"--store", filepath.Join(dir, "log.db"), "--profile", mira}

	if f := doctorOn(t, srv, bin, args...); f["microphone"].Verdict != isFault || !strings.Contains(f["microphone"].Found, "digital silence") {
		t.Errorf("nothing is played into the microphone: %+v", f["microphone"])
	}

	for _, a := range [][]string{
		{"load-module", "module-null-sink", "sink_name=bluez_output.test", "rate=48000", "norewinds=1"},
		{"set-default-sink", "bluez_output.test"},
	} {
		if out, err := srv.Command("pactl", a...).CombinedOutput(); err != nil {
			t.Fatalf("pactl: %v %s", err, out)
		}
	}
	play := srv.PlayIntoMic(wav)
	f := doctorOn(t, srv, bin, args...)
	play.Stop()
	for check, want := range map[string]verdict{"microphone": isOK, "latency": isOK, "store": isOK, "profile": isWarning, "speed": isOK} {
		if f[check].Verdict != want {
			t.Errorf("%s: %+v, want %s", check, f[check], want)
		}
	}
	if s := f["sound"]; s.Verdict == isFault { // a busy machine may make it falter
		t.Errorf("sound: %+v", s)
	}
	if !strings.Contains(f["profile"].Found, "looks wireless") {
		t.Errorf("earbuds of a wireless name: %+v", f["profile"])
	}
	if !missing(filepath.Join(dir, "log.db")) {
		t.Error("the doctor made a store")
	}

	srv.Freeze()
	defer srv.Thaw()
	began := time.Now()
	if f := doctorOn(t, srv, bin, args...); f["sound"].Verdict != isFault {
		t.Errorf("a server that hangs: %+v", f["sound"])
	}
	t.Logf("with a server that hangs it took %v", time.Since(began))
}
