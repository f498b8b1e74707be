package main

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"steadfoot/audio/device"
)

var madeUpDevices = []device.Info{
	{Host: "ALSA", Name: "Earbuds\n(two lines)", Outputs: 2, Rate: 44100, LowOutputLatency: 0.0087, HighOutputLatency: 0.0348, DefaultOutput: true},
	{Host: "ALSA", Name: "Lapel", Inputs: 1, Rate: 48000, LowInputLatency: 0.005, HighInputLatency: 0.02},
}

func TestDevicesTable(t *testing.T) {
	var out bytes.Buffer
	if err := printDevices(&out, madeUpDevices); err != nil {
		t.Fatal(err)
	}
	want := `HOST: NAME                 IN  OUT  RATE      LATENCY IN  LATENCY OUT
ALSA: Earbuds (two lines)  -   2 *  44100 Hz  -           9 to 35 ms
ALSA: Lapel                1   -    48000 Hz  5 to 20 ms  -
`
	if out.String() != want {
		t.Errorf("got\n%swant\n%s", out.String(), want)
	}
}

func TestDevicesJSON(t *testing.T) {
	var out bytes.Buffer
	if err := printDevicesJSON(&out, madeUpDevices[1:]); err != nil {
		t.Fatal(err)
	}
	want := `{"kind":"device","host":"ALSA","name":"Lapel","inputs":1,"outputs":0,"rate":48000,"low_input_latency":0.005,"high_input_latency":0.02,`
	if !strings.HasPrefix(out.String(), want) || strings.Count(out.String(), "\n") != 1 {
		t.Errorf("got %s", out.String())
	}
}

func TestSoundProcessAloneIsOfNoUse(t *testing.T) {
	var out bytes.Buffer
	err := runSoundProcess(context.Background(), stdio{strings.NewReader(""), &out, &out}, nil)
	if err == nil || !strings.Contains(err.Error(), "of no use alone") || out.Len() != 0 {
		t.Errorf("got %v and %q", err, out.String())
	}
}
