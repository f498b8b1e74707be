package pod_test

import (
	"bufio"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/godbus/dbus/v5"

	"steadfoot/audio/sensor/pod"
	"steadfoot/audio/sensor/rsc"
)

const busConfig = `<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>custom</type><listen>unix:path=SOCKET</listen><auth>EXTERNAL</auth>
<policy context="default"><allow send_destination="*" eavesdrop="true"/><allow eavesdrop="true"/><allow own="*"/></policy>
</busconfig>`

// startBus runs a bus of its own and has this process take it for the system's.
func startBus(t *testing.T) (kill func()) {
	t.Helper()
	daemon, err := exec.LookPath("dbus-daemon")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip("needs dbus-daemon")
	}
	dir, err := os.MkdirTemp("", "bus") // a socket's path must be short
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	socket, config := filepath.Join(dir, "s"), filepath.Join(dir, "c")
	if err := os.WriteFile(config, []byte(strings.ReplaceAll(busConfig, "SOCKET", socket)), 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(daemon, "--config-file="+config, "--nofork", "--print-address")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	kill = sync.OnceFunc(func() { c.Process.Kill(); c.Wait() })
	t.Cleanup(kill)
	address, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("DBUS_SYSTEM_BUS_ADDRESS", strings.TrimSpace(address))
	return kill
}

const (
	hci     = dbus.ObjectPath("/org/bluez/hci1") // not the one the library takes for granted
	shoe    = hci + "/dev_C0_00_00_00_00_07"
	service = shoe + "/service0010"
	char    = service + "/char0011"
)

type props = map[string]dbus.Variant

// fake is BlueZ with one adapter and one foot pod.
type fake struct {
	t    *testing.T
	conn *dbus.Conn

	mu       sync.Mutex
	has      map[dbus.ObjectPath]map[string]props
	notified chan bool // StartNotify and StopNotify
}

func v(x any) dbus.Variant { return dbus.MakeVariant(x) }

func startFake(t *testing.T, powered bool) *fake {
	t.Helper()
	conn, err := dbus.ConnectSystemBus()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	f := &fake{t: t, conn: conn, notified: make(chan bool, 64)}
	f.has = map[dbus.ObjectPath]map[string]props{
		hci:     {"org.bluez.Adapter1": {"Address": v("00:00:00:00:00:01"), "Powered": v(powered), "Discovering": v(false)}},
		service: {"org.bluez.GattService1": {"UUID": v("00001814-0000-1000-8000-00805f9b34fb"), "Device": v(shoe)}},
		char:    {"org.bluez.GattCharacteristic1": {"UUID": v("00002a53-0000-1000-8000-00805f9b34fb"), "Service": v(service)}},
		shoe: {"org.bluez.Device1": {
			"Address": v("C0:00:00:00:00:07"), "AddressType": v("random"), "Name": v("Harrow pod"), "RSSI": v(int16(-61)),
			"UUIDs": v([]string{"00001814-0000-1000-8000-00805f9b34fb"}), "Connected": v(false), "ServicesResolved": v(false),
		}},
	}
	f.export("/", "org.freedesktop.DBus.ObjectManager", map[string]any{"GetManagedObjects": f.objects})
	for path := range f.has {
		f.export(path, "org.freedesktop.DBus.Properties", map[string]any{
			"Get": func(iface, name string) (dbus.Variant, *dbus.Error) { return f.get(path, iface, name) },
		})
	}
	nothing := func() *dbus.Error { return nil }
	f.export(hci, "org.bluez.Adapter1", map[string]any{
		"StartDiscovery": f.discover, "StopDiscovery": nothing,
		"SetDiscoveryFilter": func(props) *dbus.Error { return nil },
	})
	f.export(shoe, "org.bluez.Device1", map[string]any{"Connect": f.connect, "Disconnect": nothing})
	f.export(char, "org.bluez.GattCharacteristic1", map[string]any{
		"StartNotify": func() *dbus.Error { f.notified <- true; return nil },
		"StopNotify":  func() *dbus.Error { f.notified <- false; return nil },
	})
	if _, err := conn.RequestName("org.bluez", dbus.NameFlagDoNotQueue); err != nil {
		t.Fatal(err)
	}
	return f
}

func (f *fake) export(path dbus.ObjectPath, iface string, methods map[string]any) {
	if err := f.conn.ExportMethodTable(methods, path, iface); err != nil {
		f.t.Fatal(err)
	}
}

func (f *fake) objects() (map[dbus.ObjectPath]map[string]props, *dbus.Error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	all := map[dbus.ObjectPath]map[string]props{}
	for path, ifaces := range f.has {
		all[path] = map[string]props{}
		for name, p := range ifaces {
			all[path][name] = props{}
			for k, x := range p {
				all[path][name][k] = x
			}
		}
	}
	return all, nil
}

func (f *fake) get(path dbus.ObjectPath, iface, name string) (dbus.Variant, *dbus.Error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	x, ok := f.has[path][iface][name]
	if !ok {
		return x, dbus.MakeFailedError(os.ErrNotExist)
	}
	return x, nil
}

// set changes a property and tells so.
func (f *fake) set(path dbus.ObjectPath, iface, name string, x any) {
	f.mu.Lock()
	f.has[path][iface][name] = v(x)
	f.mu.Unlock()
	f.conn.Emit(path, "org.freedesktop.DBus.Properties.PropertiesChanged", iface, props{name: v(x)}, []string{})
}

// discover sees the pod, as BlueZ does by a new strength of its signal.
func (f *fake) discover() *dbus.Error {
	go f.set(shoe, "org.bluez.Device1", "RSSI", int16(-60))
	return nil
}

func (f *fake) connect() *dbus.Error {
	go func() {
		f.set(shoe, "org.bluez.Device1", "Connected", true)
		f.set(shoe, "org.bluez.Device1", "ServicesResolved", true)
	}()
	return nil
}

// lose is a pod that goes out of reach.
func (f *fake) lose() {
	f.set(shoe, "org.bluez.Device1", "ServicesResolved", false)
	f.set(shoe, "org.bluez.Device1", "Connected", false)
}

func (f *fake) subscribed(t *testing.T, want bool) {
	t.Helper()
	for deadline := time.After(20 * time.Second); ; {
		select {
		case got := <-f.notified:
			if got == want {
				return
			}
		case <-deadline:
			t.Fatalf("never subscribed: %v", want)
		}
	}
}

func open(t *testing.T, wanted string) *pod.Pod {
	t.Helper()
	radio, err := pod.New()
	if err != nil {
		t.Fatal(err)
	}
	p, err := pod.Open(context.Background(), radio, wanted)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The packets are those of the standard's text: 4.16796875 m/s with 205/min and a
// stride of 2.44 m, and 200/min with nothing else (Bluetooth SIG XML of the RSC
// Measurement, 2012-09-29, worked out by hand).
func TestBlueZ(t *testing.T) {
	startBus(t)
	f := startFake(t, true)
	p := open(t, "harrow")
	f.subscribed(t, true)
	f.set(char, "org.bluez.GattCharacteristic1", "Value", []byte{0x03, 0x2b, 0x04, 0xcd, 0xf4, 0x00, 0x40, 0x0d, 0x03, 0x00})
	m, err := rsc.Decode(await(t, p.Next))
	if err != nil || m.Speed != 4.16796875 || m.Cadence != 205 || m.StrideLength != 2.44 || m.Distance != 20000 {
		t.Errorf("%+v, %v", m, err)
	}
	f.lose()
	if got := await(t, trouble(p)); !strings.Contains(got, "Harrow pod (C0:00:00:00:00:07): it is lost") {
		t.Errorf("told %q", got)
	}
	f.subscribed(t, true)
	if got := await(t, trouble(p)); !strings.Contains(got, "it is back") {
		t.Errorf("told %q", got)
	}
	f.set(char, "org.bluez.GattCharacteristic1", "Value", []byte{0x00, 0x2b, 0x04, 0xc8})
	if m, err := rsc.Decode(await(t, p.Next)); err != nil || m.Cadence != 200 {
		t.Errorf("after it is back: %+v, %v", m, err)
	}
	p.Close()
	f.subscribed(t, false)
}

// The bus dies under the walk and another one comes: told, and it goes on.
func TestBusDies(t *testing.T) {
	kill := startBus(t)
	startFake(t, true)
	p := open(t, "C0:00:00:00:00:07")
	defer p.Close()
	kill()
	if got := await(t, trouble(p)); !strings.Contains(got, "it is lost") {
		t.Errorf("told %q", got)
	}
	startBus(t)
	f := startFake(t, true)
	f.subscribed(t, true)
	if got := await(t, trouble(p)); !strings.Contains(got, "it is back") {
		t.Errorf("told %q", got)
	}
}

func TestBlueZList(t *testing.T) {
	startBus(t)
	startFake(t, true)
	radio, err := pod.New()
	if err != nil {
		t.Fatal(err)
	}
	all, err := pod.List(context.Background(), radio, 300*time.Millisecond)
	if err != nil || len(all) != 1 || all[0] != (pod.Found{Name: "Harrow pod", Address: "C0:00:00:00:00:07", Signal: -60}) {
		t.Errorf("%+v, %v", all, err)
	}
}

func TestNoBlueZ(t *testing.T) {
	t.Setenv("DBUS_SYSTEM_BUS_ADDRESS", "unix:path="+filepath.Join(t.TempDir(), "nothing"))
	if _, err := pod.New(); err == nil || !strings.Contains(err.Error(), "system bus") {
		t.Errorf("no bus: %v", err)
	}
	startBus(t)
	if _, err := pod.New(); err == nil || !strings.Contains(err.Error(), "systemctl start bluetooth") {
		t.Errorf("no BlueZ: %v", err)
	}
	startFake(t, false)
	if _, err := pod.New(); err == nil || !strings.Contains(err.Error(), "bluetoothctl power on") {
		t.Errorf("switched off: %v", err)
	}
}
