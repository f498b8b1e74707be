//go:build cgo

package soundprocess

import (
	"errors"
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
// panic.
type library struct{ open []*portaudio.Stream }

func newBackend() engine.Backend { return &library{} }

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
func (l *library) Open(req wire.OpenRequest, p engine.Process) (wire.OpenReply, error) {
	var reply wire.OpenReply
	if err := portaudio.Initialize(); err != nil {
		return reply, fmt.Errorf("the sound system does not start: %v", err)
	}
	in, out, err := choose(req)
	if err != nil {
		return reply, err
	}
	reply.Streams = streams(in, out, req.Streams)
	if err := l.start(in, out, reply.Streams, req.Frames, p); err != nil {
		l.abandon()
		return reply, fmt.Errorf("cannot open %s at %d Hz: %v", names(in, out), audio.Rate, err)
	}
	if in != nil {
		reply.Input = describe(in).FullName()
	}
	if out != nil {
		reply.Output = describe(out).FullName()
	}
	for _, s := range l.open {
		if info := s.Info(); info != nil {
			reply.InputLatency = max(reply.InputLatency, seconds(info.InputLatency))
			reply.OutputLatency = max(reply.OutputLatency, seconds(info.OutputLatency))
		}
	}
	return reply, nil
}

// start opens and starts one stream for both sides, or one for each.
func (l *library) start(in, out *portaudio.DeviceInfo, streams, frames int, p engine.Process) (err error) {
	if streams == 2 {
		if err = l.add(in, nil, frames, p); err == nil {
			err = l.add(nil, out, frames, p)
		}
	} else {
		err = l.add(in, out, frames, p)
	}
	for _, s := range l.open {
		if err == nil {
			err = s.Start()
		}
	}
	return err
}

// abandon ends what start has left half open, so that it can be tried otherwise.
func (l *library) abandon() {
	for _, s := range l.open {
		_ = s.Abort() // fails where it was not started
		_ = s.Close()
	}
	l.open = nil
	_ = portaudio.Terminate()
}

// add opens a stream with the given sides.
func (l *library) add(in, out *portaudio.DeviceInfo, frames int, p engine.Process) error {
	params := parameters(in, out, frames)
	channels := params.Output.Channels
	s, err := portaudio.OpenStream(params, func(in, out []float32, t portaudio.StreamCallbackTimeInfo, flags portaudio.StreamCallbackFlags) {
		p(in, out, channels, engine.Times{ADC: t.InputBufferAdcTime, Now: t.CurrentTime, DAC: t.OutputBufferDacTime}, uint32(flags))
	})
	if err == nil {
		l.open = append(l.open, s)
	}
	return err
}

// parameters asks for the device's high latency: some 35 ms each way where the
// low one is 9. The beat is rendered ahead, so a constant delay costs nothing,
// and with the low one PortAudio was measured to spin on ALSA's PulseAudio
// device (half a core) and to falter as soon as the machine was busy.
func parameters(in, out *portaudio.DeviceInfo, frames int) portaudio.StreamParameters {
	p := portaudio.StreamParameters{SampleRate: audio.Rate, FramesPerBuffer: frames}
	if in != nil {
		p.Input = portaudio.StreamDeviceParameters{Device: in, Channels: 1, Latency: in.DefaultHighInputLatency}
	}
	if out != nil {
		p.Output = portaudio.StreamDeviceParameters{Device: out, Channels: min(2, out.MaxOutputChannels), Latency: out.DefaultHighOutputLatency}
	}
	return p
}

// Close implements engine.Backend.
func (l *library) Close() error {
	for _, s := range l.open {
		// Abort, not Stop: what was to be heard has been heard.
		if err := errors.Join(s.Abort(), s.Close()); err != nil {
			return err
		}
	}
	l.open = nil
	return portaudio.Terminate()
}
