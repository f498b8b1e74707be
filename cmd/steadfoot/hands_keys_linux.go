package main

import (
	"errors"
	"io"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// Requests of input.h, as all but mips, ppc and sparc have them.
const (
	keyBits = 0x80044521 // EVIOCGBIT(EV_KEY, 4): which of the keys 0 to 31 there are
	keyGrab = 0x40044590 // EVIOCGRAB: keeps the keys from everybody else
)

// letters are the keys Q to P among them.
const letters = 0x3ff << 16

// openKeyDevice opens a device of keys, or a named pipe that brings the same
// bytes. A device without letters, a remote, is kept from everybody else, so that
// a lap does not also change the music; a whole keyboard is not.
func openKeyDevice(path string) (io.ReadCloser, error) {
	st, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, keyTrouble(err)
	case st.Mode()&fs.ModeNamedPipe != 0:
		return os.OpenFile(path, os.O_RDWR, 0) // it does not end with its writer
	case st.Mode()&fs.ModeCharDevice == 0:
		return nil, errNoKeys
	}
	f, err := os.OpenFile(path, os.O_RDONLY|unix.O_NONBLOCK, 0) // a read then ends with Close
	if err != nil {
		return nil, keyTrouble(err)
	}
	if err := takeKeys(f); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// takeKeys grabs a device that is no keyboard.
func takeKeys(f *os.File) error {
	raw, err := f.SyscallConn()
	if err != nil {
		return err
	}
	var taken error
	err = raw.Control(func(fd uintptr) {
		keys, err := unix.IoctlGetUint32(int(fd), keyBits)
		switch {
		case err != nil:
			taken = errNoKeys
		case !grabs(keys):
		case unix.IoctlSetInt(int(fd), keyGrab, 1) != nil:
			taken = errors.New("another program keeps it for itself; end that one first")
		}
	})
	return errors.Join(err, taken)
}

// grabs tells whether a device with these of the keys 0 to 31 is no keyboard.
func grabs(keys uint32) bool { return keys&letters != letters }

var errNoKeys = errors.New("is no input device; name one of /dev/input/by-id/ or /dev/input/event*")

// keyTrouble says what to do about a device that cannot be opened.
func keyTrouble(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("is not there; 'ls /dev/input/by-id' lists what is, and a key pressed wakes a wireless one")
	case errors.Is(err, fs.ErrPermission):
		return errors.New("this user may not read it; sudo usermod -aG input $USER, then log out and in again")
	}
	return err
}
