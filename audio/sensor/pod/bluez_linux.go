package pod

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/godbus/dbus/v5"
	"tinygo.org/x/bluetooth"
)

// What tinygo.org/x/bluetooth 0.16 lacks with BlueZ, and is made up for here: it
// takes hci0 for the only adapter; it may wait for ever in Connect; it panics when
// the bus goes away under it; it never tells that a device was lost; and ending its
// notifications races with their beginning. So the last two go over the bus itself.

const connectMost = 20 * time.Second

// bluez is the Radio of a machine on which BlueZ runs.
type bluez struct{ bus *dbus.Conn }

// New returns this machine's radio. The error says what to do.
func New() (Radio, error) {
	b := &bluez{}
	if _, err := b.adapter(); err != nil {
		return nil, err
	}
	return b, nil
}

// adapter is the first adapter that is switched on. It is looked for each time, as
// adapters and BlueZ itself come and go.
func (b *bluez) adapter() (*bluetooth.Adapter, error) {
	bus, err := dbus.SystemBus()
	if err != nil {
		return nil, errors.New("no Bluetooth: the system bus (D-Bus), over which BlueZ is reached, does not run here")
	}
	b.bus = bus
	objects, err := b.objects()
	if err != nil {
		return nil, fmt.Errorf("no Bluetooth: BlueZ does not answer (%s); install bluez, or start it: sudo systemctl start bluetooth", reason(err))
	}
	var on, off []string
	for path, has := range objects {
		a, ok := has["org.bluez.Adapter1"]
		if !ok {
			continue
		}
		id := string(path[strings.LastIndexByte(string(path), '/')+1:])
		if powered, _ := a["Powered"].Value().(bool); powered {
			on = append(on, id)
		} else {
			off = append(off, id)
		}
	}
	slices.Sort(on)
	switch {
	case len(on) > 0:
		adapter := bluetooth.NewAdapter(on[0])
		return adapter, adapter.Enable()
	case len(off) > 0:
		return nil, errors.New("the radio for Bluetooth is switched off; 'bluetoothctl power on' switches it on")
	}
	return nil, errors.New("no Bluetooth: there is no adapter in this machine")
}

// objects are all that BlueZ knows: its properties by path and interface.
func (b *bluez) objects() (all map[dbus.ObjectPath]map[string]map[string]dbus.Variant, err error) {
	err = b.bus.Object("org.bluez", "/").Call("org.freedesktop.DBus.ObjectManager.GetManagedObjects", 0).Store(&all)
	return all, err
}

// survive calls f and turns a panic of the library into an error.
func survive(f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the Bluetooth library failed: %v", p)
		}
	}()
	return f()
}

// Scan implements Radio.
func (b *bluez) Scan(ctx context.Context, found func(Found) bool) error {
	a, err := b.adapter()
	if err != nil {
		return err
	}
	stopped := false // by found
	done := make(chan error, 1)
	go func() {
		done <- survive(func() error {
			return a.Scan(func(a *bluetooth.Adapter, r bluetooth.ScanResult) {
				if stopped || !r.HasServiceUUID(bluetooth.ServiceUUIDRunningSpeedAndCadence) {
					return
				}
				f := Found{Name: r.LocalName(), Address: r.Address.String(), Signal: int(r.RSSI)}
				if ctx.Err() == nil && !found(f) {
					stopped = true
					a.StopScan()
				}
			})
		})
	}()
	select {
	case err = <-done:
	case <-ctx.Done():
		// A word to the bus puts what Scan did before in order with what StopScan does.
		b.bus.BusObject().Call("org.freedesktop.DBus.Peer.Ping", 0)
		survive(a.StopScan)
		select {
		case <-done:
		case <-time.After(time.Second):
		}
		return nil
	}
	if stopped {
		return nil
	}
	if err != nil {
		return fmt.Errorf("looking for foot pods: %w", err)
	}
	return nil
}

// Listen implements Radio.
func (b *bluez) Listen(ctx context.Context, f Found, ready func(), give func([]byte)) error {
	a, err := b.adapter()
	if err != nil {
		return err
	}
	device, err := connect(ctx, a, f)
	if err != nil {
		return err
	}
	defer survive(device.Disconnect)
	err = survive(func() error { // waits until BlueZ knows the services
		_, err := device.DiscoverServices([]bluetooth.UUID{bluetooth.ServiceUUIDRunningSpeedAndCadence})
		return err
	})
	if err != nil {
		return err
	}
	path, err := b.measurement(f)
	if err != nil {
		return err
	}
	return b.subscribe(ctx, path, ready, give)
}

// connect connects to a device, but does not wait for ever.
func connect(ctx context.Context, a *bluetooth.Adapter, f Found) (bluetooth.Device, error) {
	type result struct {
		device bluetooth.Device
		err    error
	}
	mac, err := bluetooth.ParseMAC(f.Address)
	if err != nil {
		return bluetooth.Device{}, err
	}
	done := make(chan result, 1)
	go func() {
		var r result
		r.err = survive(func() (err error) {
			r.device, err = a.Connect(bluetooth.Address{MACAddress: bluetooth.MACAddress{MAC: mac}}, bluetooth.ConnectionParams{})
			return err
		})
		done <- r
	}()
	select {
	case r := <-done:
		return r.device, r.err
	case <-time.After(connectMost):
		return bluetooth.Device{}, fmt.Errorf("no connection within %.0f s", connectMost.Seconds())
	case <-ctx.Done():
		return bluetooth.Device{}, ctx.Err()
	}
}

// measurement is the path of the characteristic that holds the packets of f.
func (b *bluez) measurement(f Found) (dbus.ObjectPath, error) {
	objects, err := b.objects()
	if err != nil {
		return "", err
	}
	under := "/dev_" + strings.ReplaceAll(f.Address, ":", "_") + "/"
	want := bluetooth.CharacteristicUUIDRSCMeasurement.String()
	for path, has := range objects {
		uuid, _ := has["org.bluez.GattCharacteristic1"]["UUID"].Value().(string)
		if strings.EqualFold(uuid, want) && strings.Contains(string(path), under) {
			return path, nil
		}
	}
	return "", errors.New("it has no RSC measurement, so it is no foot pod")
}

// Close implements Radio. The bus is the process's and stays.
func (b *bluez) Close() error { return nil }
