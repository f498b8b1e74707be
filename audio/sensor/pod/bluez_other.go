//go:build !linux

package pod

import "errors"

// New would return this machine's radio.
func New() (Radio, error) {
	return nil, errors.New("foot pods can be reached on Linux with BlueZ only; elsewhere, pipe their packets in: --in -")
}
