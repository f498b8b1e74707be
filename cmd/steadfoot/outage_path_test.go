package main

import (
	"fmt"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio/device/virtual"
)

// outage is one way in which the sound is lost, and comes back.
type outage struct {
	name  string
	lose  func()
	lasts time.Duration // until mend
	mend  func()
	told  []string // words of faults that are logged
	lost  float64  // of them at least so many seconds, where it is the last word

	mic string // where the walk is heard from then on; "" where it was, all along
	ear string // where the beat is heard from then on
}

// backWithin is the bar for the sound to be back after the device, s; a busy machine
// gets 3 s more.
const backWithin = 2 + 3

// TestDevicesComeAndGo: whatever happens to the sound, the walk goes on, tells it,
// and hears and plays again when it can.
func TestDevicesComeAndGo(t *testing.T) {
	srv := virtual.Pulse(t)
	w := startTroubled(t, srv)
	w.feed("mic")
	w.heard(0)
	var table strings.Builder
	for _, o := range outages(srv, w) {
		t.Logf("%.2f s: %s", w.now(), o.name)
		w.suffer(o, &table)
	}
	t.Logf("s from the device's return until the walk is heard and the beat is played:\n%s", table.String())
	w.end()
}

func outages(srv *virtual.PulseServer, w *troubledWalk) []outage {
	nothing := func() {}
	return []outage{
		{
			name: "the server is killed", lose: srv.Kill, lasts: 4 * time.Second, mend: srv.Restart,
			told: []string{"the sound is gone", "started it again"}, lost: 2, mic: "mic", ear: "ear",
		}, {
			name: "the server hangs", lose: srv.Freeze, lasts: 3 * time.Second, mend: srv.Thaw,
			told: []string{"lost"}, lost: 2, ear: "ear",
		}, {
			// The server gives another microphone instead, without a word.
			name: "the microphone is unplugged", lose: func() { srv.RemoveSink("mic") }, lasts: time.Second,
			mend: func() { srv.AddSink("mic", 48000, 2); srv.Default("", "mic.monitor") }, mic: "mic", ear: "ear",
		}, {
			name: "the earphones are unplugged", lose: func() { srv.RemoveSink("ear") }, lasts: time.Second,
			mend: func() { srv.AddSink("ear", 48000, 2); srv.Default("ear", "") }, mic: "mic", ear: "ear",
		}, {
			name: "both are unplugged", lose: func() { srv.RemoveSink("mic"); srv.RemoveSink("ear") }, lasts: 4 * time.Second,
			mend: func() {
				srv.AddSink("mic", 48000, 2)
				srv.AddSink("ear", 48000, 2)
				srv.Default("ear", "mic.monitor")
			},
			told: []string{"the sound is gone", "started it again"}, lost: 2, mic: "mic", ear: "ear",
		}, {
			name: "the microphone becomes a headset's", lose: func() { srv.RemoveSink("mic") },
			mend: func() { srv.AddSink("headset", 16000, 1); srv.Default("", "headset.monitor") }, mic: "headset", ear: "ear",
		}, {
			name: "the earphones change their rate", lose: func() { srv.RemoveSink("ear") },
			mend: func() { srv.AddSink("ear", 44100, 2); srv.Default("ear", "") }, mic: "headset", ear: "ear",
		}, {
			name: "others become the default ones", lose: func() { srv.AddSink("mic", 48000, 2); srv.AddSink("speaker", 48000, 2) },
			mend: func() { srv.Default("speaker", "mic.monitor") }, mic: "mic", ear: "speaker",
		}, {
			name: "the whole program is stopped", lose: func() { w.signal(syscall.SIGSTOP) }, lasts: 2 * time.Second,
			mend: func() { w.signal(syscall.SIGCONT) }, told: []string{"lost"}, lost: 1, ear: "speaker",
		}, {
			name: "they are moved by hand", lose: nothing,
			mend: func() { srv.Move("steadfoot", "ear", "headset.monitor") }, mic: "headset", ear: "ear",
		},
	}
}

// suffer goes through an outage and adds a line to the table.
func (w *troubledWalk) suffer(o outage, table *strings.Builder) {
	w.t.Helper()
	at := w.now()
	if o.mic != "" {
		w.starve()
	}
	o.lose()
	time.Sleep(o.lasts)
	o.mend()
	back := w.now()
	rec := w.record(o.ear)
	if o.mic != "" {
		w.feed(o.mic)
	}
	for i, text := range o.told {
		least := 0.0
		if i == len(o.told)-1 {
			least = o.lost
		}
		w.fault(at, text, least)
	}
	heard, played := w.heard(back)-back, rec.steady()-back
	row := fmt.Sprintf("%-34s %5.2f %5.2f", o.name, heard, played)
	w.t.Log(row)
	fmt.Fprintln(table, row)
	source := ""
	if o.mic != "" {
		source = o.mic + ".monitor"
	}
	w.srv.AwaitOn("steadfoot", o.ear, source)
	if max(heard, played) > backWithin {
		w.t.Errorf("%s: heard again after %.2f s, and played after %.2f s", o.name, heard, played)
	}
}
