package pod

import (
	"context"
	"errors"
	"path"
	"strings"

	"github.com/godbus/dbus/v5"
)

const (
	characteristic = "org.bluez.GattCharacteristic1"
	properties     = "org.freedesktop.DBus.Properties"
)

// subscribe gives the packets of the characteristic at char until its device is
// lost, which is an error, or ctx is done.
func (b *bluez) subscribe(ctx context.Context, char dbus.ObjectPath, ready func(), give func([]byte)) error {
	device := dbus.ObjectPath(path.Dir(path.Dir(string(char))))
	match := []dbus.MatchOption{dbus.WithMatchInterface(properties), dbus.WithMatchPathNamespace(device)}
	signals := make(chan *dbus.Signal, 64) // in order, as long as it does not fill
	b.bus.Signal(signals)
	defer b.bus.RemoveSignal(signals)
	if err := b.bus.AddMatchSignal(match...); err != nil {
		return err
	}
	defer b.bus.RemoveMatchSignal(match...)
	c := b.bus.Object("org.bluez", char)
	if err := c.Call(characteristic+".StartNotify", 0).Err; err != nil {
		return err
	}
	defer c.Call(characteristic+".StopNotify", 0)
	// What was lost meanwhile has been told before anybody listened.
	there, err := b.bus.Object("org.bluez", device).GetProperty("org.bluez.Device1.Connected")
	if on, _ := there.Value().(bool); err != nil || !on {
		return errLost
	}
	ready()
	for {
		select {
		case <-ctx.Done():
			return nil
		case s, open := <-signals:
			if !open {
				return errors.New("the system bus is gone")
			}
			if err := hear(s, char, device, give); err != nil {
				return err
			}
		}
	}
}

var errLost = errors.New("the connection ended")

// hear takes a signal of the bus: a packet, or that the device is lost.
func hear(s *dbus.Signal, char, device dbus.ObjectPath, give func([]byte)) error {
	if !strings.HasSuffix(s.Name, ".PropertiesChanged") || len(s.Body) < 2 {
		return nil
	}
	changed, _ := s.Body[1].(map[string]dbus.Variant)
	switch s.Path {
	case char:
		if value, ok := changed["Value"].Value().([]byte); ok {
			give(value)
		}
	case device:
		if on, ok := changed["Connected"].Value().(bool); ok && !on {
			return errLost
		}
	}
	return nil
}
