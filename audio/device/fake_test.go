package device_test

import (
	"errors"
	"fmt"
	"os"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/internal/wire"
)

// fake is a device whose earphones are wired to its microphone without delay:
// input sample i is the left output sample i of the period before.
type fake struct {
	manner string // how it fails; see each use
	clock  func() time.Duration
	stop   chan struct{}
	done   chan struct{}
}

func (f *fake) Devices() ([]wire.Device, error) {
	switch f.manner {
	case "hang":
		select {}
	case "panic":
		panic("made-up crash")
	}
	return []wire.Device{{Host: "Made up", Name: "loop", Inputs: 1, Outputs: 2, Rate: audio.Rate}}, nil
}

func (f *fake) Open(req wire.OpenRequest, p engine.Process, _ engine.Playout) (wire.OpenReply, error) {
	reply := wire.OpenReply{Input: "Made up: loop", Output: "Made up: loop"}
	switch f.manner {
	case "none":
		return reply, errors.New("no microphone found; plug one in")
	case "noise":
		fmt.Println("a library prints to standard output")
	case "die":
		os.Exit(3)
	case "mute":
		return reply, nil // opens, but never calls back
	}
	if !req.NoInput && !req.NoOutput {
		reply.Streams = req.Streams
		if reply.Streams == 0 {
			reply.Streams = f.suits()
		}
	}
	if reply.Streams == f.fails() {
		return reply, fmt.Errorf("%d streams do not open", reply.Streams)
	}
	f.stop, f.done = make(chan struct{}), make(chan struct{})
	if reply.Streams == 2 {
		go f.runTwo(req.Frames, p)
	} else {
		go f.run(req, p)
	}
	return reply, nil
}

func (f *fake) Close() error {
	if f.stop == nil { // it never ran
		return nil
	}
	close(f.stop)
	<-f.done
	f.stop = nil
	return nil
}

// run calls p at the rate of the clock.
func (f *fake) run(req wire.OpenRequest, p engine.Process) {
	defer close(f.done)
	in, out := make([]float32, req.Frames), make([]float32, 2*req.Frames)
	if req.NoInput {
		in = nil
	}
	period := time.Duration(req.Frames) * time.Second / audio.Rate
	calls := 0
	for due := f.clock(); ; due += period {
		select {
		case <-f.stop:
			return
		case <-time.After(due - f.clock()):
		}
		calls++
		p(in, out, 2, engine.Call{}, f.falter(calls, req.Frames))
		for i := range in {
			in[i] = out[2*i]
		}
	}
}
