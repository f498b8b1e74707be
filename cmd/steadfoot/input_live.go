package main

import (
	"context"
	"strings"

	"steadfoot/audio/sensor"
	"steadfoot/audio/sensor/intake"
	"steadfoot/audio/sensor/pod"
	"steadfoot/audio/sensor/rsc"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/detect"
)

// liveInput is a sensor that is worn right now: exactly one of lines and pod is
// set.
type liveInput struct {
	ctx   context.Context // ends the waiting for it
	lines *intake.Intake
	pod   *pod.Pod
	unit  rsc.Unit
	rows  sensor.Options
	ear   live.Ear // once there is one
}

// isLive tells whether name is that of a live sensor, and no file's.
func isLive(name string) bool { return intake.Looks(name) || isPod(name) }

// isPod tells whether name is that of a foot pod.
func isPod(name string) bool { return name == "pod" || strings.HasPrefix(name, "ble:") }

// openLive connects to the live sensor of that name.
func openLive(ctx context.Context, name string, o inputOptions) (*input, error) {
	l := &liveInput{ctx: ctx, unit: rsc.Unit(o.rscUnit), rows: sensor.Options{Unit: sensor.Unit(o.unit)}}
	if !isPod(name) {
		lines, err := intake.Open(name)
		if err != nil {
			return nil, err
		}
		l.lines = lines
		return &input{live: l, file: lines}, nil
	}
	radio, err := pod.New()
	if err != nil {
		return nil, err
	}
	p, err := pod.Open(ctx, radio, strings.TrimPrefix(strings.TrimPrefix(name, "pod"), "ble:"))
	if err != nil {
		radio.Close()
		return nil, err
	}
	l.pod = p
	return &input{live: l, file: p}, nil
}

// ready gets a value when something has come.
func (l *liveInput) ready() <-chan struct{} {
	if l.pod != nil {
		return l.pod.Ready()
	}
	return l.lines.Ready()
}

// listen makes the ear. A tick moves it on and has a clock of its own, to which
// rows are put; without one, the sensor's stamps are the clock.
func (l *liveInput) listen(tick live.Tick, first detect.Side) (live.Ear, error) {
	follow := tick != nil
	if tick == nil {
		tick = live.TickOn(l.ctx, monotonic(), l.ready())
	}
	if l.pod != nil {
		l.ear = live.NewPodEar(l.pod, l.unit, tick)
		return l.ear, nil
	}
	ear, err := live.NewRowsEar(live.NewRows(l.lines, l.rows, follow), tick, first)
	if err != nil {
		return nil, err
	}
	l.ear = ear
	return ear, nil
}

// warnings tells at the end what was wrong.
func (l *liveInput) warnings() []string {
	if w, ok := l.ear.(interface{ Warnings() []string }); ok {
		return w.Warnings()
	}
	return nil
}
