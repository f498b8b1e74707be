//go:build !cgo

package soundprocess

import (
	"errors"
	"os"
	"time"

	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/internal/wire"
)

var errNone = errors.New("this build has no sound device: it was made without cgo; build with CGO_ENABLED=1 and portaudio19-dev")

// none stands for PortAudio in a build without C.
type none struct{}

func newBackend(func() time.Duration) engine.Backend { return none{} }

func (none) Devices() ([]wire.Device, error) { return nil, errNone }

func (none) Open(wire.OpenRequest, engine.Process, engine.Playout) (wire.OpenReply, error) {
	return wire.OpenReply{}, errNone
}

func (none) Close() error { return nil }

func claim(out *os.File) (*os.File, error) { return out, nil }
