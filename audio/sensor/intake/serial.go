package intake

import (
	"errors"
	"fmt"
	"io/fs"
	"runtime"
	"strings"
	"sync"
	"time"

	"go.bug.st/serial"
)

// wire is a serial line that is opened again whenever it is lost.
type wire struct {
	in   *Intake
	spec Spec
	stop chan struct{}
	done chan struct{}

	mu   sync.Mutex
	port serial.Port // nil while there is none
}

func openSerial(spec Spec) (*Intake, error) {
	port, err := openPort(spec)
	if err != nil {
		return nil, fmt.Errorf("serial line %s: %w", spec.Serial, explain(err))
	}
	w := &wire{in: newIntake("serial line " + spec.Serial), spec: spec, stop: make(chan struct{}), done: make(chan struct{}), port: port}
	w.in.close = w
	go w.run(port)
	return w.in, nil
}

func openPort(spec Spec) (serial.Port, error) {
	return serial.Open(spec.Serial, &serial.Mode{BaudRate: spec.Baud})
}

// run reads until Close, over all that happens to the line.
func (w *wire) run(port serial.Port) {
	defer close(w.done)
	for port != nil {
		w.in.cut(port, true)
		w.hold(nil)
		port.Close()
		if w.stopped() {
			return
		}
		w.in.leave("it is gone; plug it in again: the walk goes on without it and looks for it")
		port = w.reopen()
	}
}

// reopen waits until the line is back; nil when Close came first.
func (w *wire) reopen() serial.Port {
	for {
		select {
		case <-w.stop:
			return nil
		case <-time.After(again):
		}
		port, err := openPort(w.spec)
		if err != nil {
			continue
		}
		if w.hold(port) {
			w.in.back()
			return port
		}
		port.Close()
		return nil
	}
}

// hold makes port the one that Close closes; false when Close came first.
func (w *wire) hold(port serial.Port) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.port = port
	return !w.stopped()
}

func (w *wire) stopped() bool {
	select {
	case <-w.stop:
		return true
	default:
		return false
	}
}

// Close ends the reading.
func (w *wire) Close() error {
	w.mu.Lock()
	close(w.stop)
	if w.port != nil {
		w.port.Close()
	}
	w.mu.Unlock()
	<-w.done
	return nil
}

// explain says what to do about a line that cannot be opened.
func explain(err error) error {
	var p *serial.PortError
	code := serial.PortErrorCode(-1)
	if errors.As(err, &p) {
		code = p.Code()
	}
	switch {
	case code == serial.PermissionDenied || errors.Is(err, fs.ErrPermission):
		if runtime.GOOS == "linux" {
			return errors.New("you may not open it; 'sudo usermod -aG dialout $USER' and a new login allow it")
		}
		return errors.New("you may not open it")
	case code == serial.PortBusy:
		return errors.New("another program has it open; end that one")
	case code == serial.PortNotFound || errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no such port; %s", portsThere())
	case code == serial.InvalidSerialPort:
		return fmt.Errorf("it is no serial port; %s", portsThere())
	case code == serial.InvalidSpeed:
		return errors.New("it cannot run at this speed; 9600 and 115200 are usual")
	}
	return err
}

// portsThere tells which ports there are.
func portsThere() string {
	ports, err := serial.GetPortsList()
	if err != nil || len(ports) == 0 {
		return "there is none on this machine: is it plugged in?"
	}
	return "there are: " + strings.Join(ports, ", ")
}
