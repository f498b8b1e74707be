//go:build cgo

package soundprocess

// #include "port.h"
import "C"

import (
	"fmt"
	"math"
	"time"

	"github.com/gordonklaus/portaudio"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/internal/wire"
)

// library is PortAudio with one stream, or one for each side. Of its types only
// names and numbers are ever printed: some of the binding's own String methods
// panic. The binding starts and ends the library and knows the devices; streams
// are opened beside it, as its callbacks take a lock, go through reflection, and
// wake up Go's scheduler, which then watched them for two thirds of what a walk
// cost.
type library struct {
	clock   engine.Clock
	process engine.Process
	ports   []*port
	offset  time.Duration // of the clock against the C side's
	polls   int
}

func newBackend(clock engine.Clock) engine.Backend { return &library{clock: clock} }

// Devices implements engine.Backend.
func (l *library) Devices() ([]wire.Device, error) {
	if err := portaudio.Initialize(); err != nil {
		return nil, fmt.Errorf("the sound system does not start: %v", err)
	}
	devs, err := portaudio.Devices()
	if err != nil {
		return nil, fmt.Errorf("cannot list the sound devices: %v", err)
	}
	in, _ := portaudio.DefaultInputDevice()
	out, _ := portaudio.DefaultOutputDevice()
	list := make([]wire.Device, len(devs))
	for i, d := range devs {
		list[i] = describe(d)
		list[i].DefaultInput = d == in
		list[i].DefaultOutput = d == out
	}
	return list, nil
}

func describe(d *portaudio.DeviceInfo) wire.Device {
	w := wire.Device{
		Host: d.HostApi.Name, Name: d.Name, Rate: d.DefaultSampleRate,
		Inputs: d.MaxInputChannels, Outputs: d.MaxOutputChannels,
	}
	if w.Inputs > 0 {
		w.LowInputLatency, w.HighInputLatency = seconds(d.DefaultLowInputLatency), seconds(d.DefaultHighInputLatency)
	}
	if w.Outputs > 0 {
		w.LowOutputLatency, w.HighOutputLatency = seconds(d.DefaultLowOutputLatency), seconds(d.DefaultHighOutputLatency)
	}
	return w
}

// seconds rounds to microseconds; unknown latencies are negative or absurd.
func seconds(d time.Duration) float64 {
	if d < 0 || d > time.Hour {
		return 0
	}
	return math.Round(d.Seconds()*1e6) / 1e6
}

// Open implements engine.Backend.
func (l *library) Open(req wire.OpenRequest, p engine.Process, play engine.Playout) (wire.OpenReply, error) {
	var reply wire.OpenReply
	if err := portaudio.Initialize(); err != nil {
		return reply, fmt.Errorf("the sound system does not start: %v", err)
	}
	in, out, err := choose(req)
	if err != nil {
		return reply, err
	}
	reply.Streams = streams(in, out, req.Streams)
	l.process, l.ports = p, nil
	if err := l.start(in, out, reply.Streams, req.Frames, play); err != nil {
		l.abandon()
		return reply, fmt.Errorf("cannot open %s at %d Hz: %v", names(in, out), audio.Rate, err)
	}
	if in != nil {
		reply.Input = describe(in).FullName()
	}
	if out != nil {
		reply.Output = describe(out).FullName()
	}
	for _, p := range l.ports {
		heard, played := p.latency()
		reply.InputLatency = max(reply.InputLatency, seconds(heard))
		reply.OutputLatency = max(reply.OutputLatency, seconds(played))
	}
	return reply, nil
}

// start opens and starts one stream for both sides, or one for each.
func (l *library) start(in, out *portaudio.DeviceInfo, streams, frames int, play engine.Playout) error {
	if streams != 2 {
		p, err := newPort(frames, play)
		return l.add(p, err, in, out)
	}
	mic, err := newMicrophone(frames, play)
	if err := l.add(mic, err, in, nil); err != nil {
		return err
	}
	ears, err := newEarphones(frames, play.Missing)
	return l.add(ears, err, nil, out)
}

// add starts a new port, if there is one, with the given sides.
func (l *library) add(p *port, err error, in, out *portaudio.DeviceInfo) error {
	if err != nil {
		return err
	}
	l.ports = append(l.ports, p)
	return p.start(in, out)
}

// Poll implements engine.Poller.
func (l *library) Poll() {
	if l.polls%lookEvery == 0 {
		l.compare()
	}
	l.polls++
	for _, p := range l.ports {
		p.poll(l.process, l.offset)
	}
}

// PollEvery implements engine.Poller.
func (l *library) PollEvery() int {
	if len(l.ports) == 2 {
		return pollTwo
	}
	return pollOne
}

// compare looks how the two clocks stand to each other. On most systems they are
// the same one.
func (l *library) compare() {
	for range 10 {
		a, now, b := C.port_clock(), l.clock(), C.port_clock()
		l.offset = now - time.Duration(a)
		if time.Duration(b-a) < alike {
			return
		}
	}
}

// abandon ends what start has left half open, so that it can be tried otherwise.
func (l *library) abandon() {
	for _, p := range l.ports {
		_ = p.end() // fails where it was not started
	}
	l.ports = nil
	_ = portaudio.Terminate()
}

// parameters asks for the device's high latency: some 35 ms each way where the
// low one is 9. The beat is rendered ahead, so a constant delay costs nothing,
// and with the low one PortAudio was measured to spin on ALSA's PulseAudio
// device (half a core) and to falter as soon as the machine was busy.
func parameters(in, out *portaudio.DeviceInfo) portaudio.StreamParameters {
	var p portaudio.StreamParameters
	if in != nil {
		p.Input = portaudio.StreamDeviceParameters{Device: in, Channels: 1, Latency: in.DefaultHighInputLatency}
	}
	if out != nil {
		p.Output = portaudio.StreamDeviceParameters{Device: out, Channels: min(2, out.MaxOutputChannels), Latency: out.DefaultHighOutputLatency}
	}
	return p
}

// Close implements engine.Backend. The ports stay: the forwarder may still look at
// them, and a library that hangs may still call.
func (l *library) Close() error {
	for _, p := range l.ports {
		if err := p.end(); err != nil {
			return err
		}
	}
	return portaudio.Terminate()
}
