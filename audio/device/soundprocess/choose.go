//go:build cgo

package soundprocess

import (
	"errors"
	"fmt"
	"strings"

	"github.com/gordonklaus/portaudio"

	"steadfoot/audio/device/internal/wire"
)

var errNoDevices = errors.New("no sound device found; plug one in, or check that the sound server runs")

// side is the microphone's or the earphones' part of a device.
type side struct {
	noun     string
	channels func(*portaudio.DeviceInfo) int
	fallback func(*portaudio.HostApiInfo) *portaudio.DeviceInfo // of one host
	system   func() (*portaudio.DeviceInfo, error)              // of them all
}

var (
	microphone = side{"microphone",
		func(d *portaudio.DeviceInfo) int { return d.MaxInputChannels },
		func(h *portaudio.HostApiInfo) *portaudio.DeviceInfo { return h.DefaultInputDevice },
		portaudio.DefaultInputDevice}
	earphones = side{"earphones",
		func(d *portaudio.DeviceInfo) int { return d.MaxOutputChannels },
		func(h *portaudio.HostApiInfo) *portaudio.DeviceInfo { return h.DefaultOutputDevice },
		portaudio.DefaultOutputDevice}
)

// choose finds the devices a request means; nil is a side that stays closed.
// A side without a name follows the host of the other one, where it is more
// likely to be the same device.
func choose(req wire.OpenRequest) (in, out *portaudio.DeviceInfo, err error) {
	devs, err := portaudio.Devices()
	if err != nil {
		return nil, nil, fmt.Errorf("cannot list the sound devices: %v", err)
	}
	if len(devs) == 0 {
		return nil, nil, errNoDevices
	}
	if !req.NoInput && req.Input != "" {
		if in, err = microphone.find(devs, req.Input, nil); err != nil {
			return nil, nil, err
		}
	}
	if !req.NoOutput {
		if out, err = earphones.find(devs, req.Output, in); err != nil {
			return nil, nil, err
		}
	}
	if !req.NoInput && in == nil {
		if in, err = microphone.find(devs, "", out); err != nil {
			return nil, nil, err
		}
	}
	if streams(in, out, req.Streams) == 1 && in.HostApi.Name != out.HostApi.Name {
		return nil, nil, fmt.Errorf("%s cannot run as one stream: name two devices of the same host", names(in, out))
	}
	return in, out, nil
}

// streams is how many streams carry the two sides, 0 when there is one side
// only. Two devices have two clocks and want a stream each. One that stands for
// a sound server, as ALSA's "default" and "pulse" do, counts as one here.
func streams(in, out *portaudio.DeviceInfo, asked int) int {
	switch {
	case in == nil || out == nil:
		return 0
	case asked != 0:
		return asked
	case in == out:
		return 1
	}
	return 2
}

// find returns the device named want: by its exact name when there is one,
// else the first whose full name holds want, the other side's host first.
func (s side) find(devs []*portaudio.DeviceInfo, want string, other *portaudio.DeviceInfo) (*portaudio.DeviceInfo, error) {
	if want == "" {
		return s.standard(other)
	}
	var best *portaudio.DeviceInfo
	rank := 0
	for _, d := range devs {
		if r := s.rank(d, want, other); r > rank {
			best, rank = d, r
		}
	}
	if best == nil {
		return nil, fmt.Errorf("no %s named %q; 'steadfoot devices' lists them", s.noun, want)
	}
	return best, nil
}

// rank says how well d fits; 0 is not at all.
func (s side) rank(d *portaudio.DeviceInfo, want string, other *portaudio.DeviceInfo) int {
	full := describe(d)
	if s.channels(d) == 0 || !full.Match(want) {
		return 0
	}
	r := 1
	if s.fallback(d.HostApi) == d {
		r += 1
	}
	if strings.EqualFold(d.Name, want) || strings.EqualFold(full.FullName(), want) {
		r += 2
	}
	if other != nil && d.HostApi.Name == other.HostApi.Name {
		r += 4
	}
	return r
}

// standard is the system's default, or that of the other side's host.
func (s side) standard(other *portaudio.DeviceInfo) (*portaudio.DeviceInfo, error) {
	var d *portaudio.DeviceInfo
	if other != nil {
		d = s.fallback(other.HostApi)
	} else {
		d, _ = s.system()
	}
	if d == nil || s.channels(d) == 0 {
		return nil, fmt.Errorf("no %s found; plug one in, or name one that 'steadfoot devices' lists", s.noun)
	}
	return d, nil
}

func names(in, out *portaudio.DeviceInfo) string {
	switch {
	case in == nil && out == nil:
		return "nothing"
	case out == nil:
		return fmt.Sprintf("microphone %q", describe(in).FullName())
	case in == nil:
		return fmt.Sprintf("earphones %q", describe(out).FullName())
	}
	return fmt.Sprintf("microphone %q and earphones %q", describe(in).FullName(), describe(out).FullName())
}
