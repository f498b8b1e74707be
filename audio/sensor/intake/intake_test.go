package intake_test

import (
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"steadfoot/audio/sensor/intake"
)

// await waits for a line, or fails: how long it takes says nothing.
func await(t *testing.T, in *intake.Intake) intake.Line {
	t.Helper()
	deadline := time.After(20 * time.Second)
	for {
		if l, ok := in.Next(); ok {
			return l
		}
		select {
		case <-in.Ready():
		case <-deadline:
			t.Fatalf("no line; trouble: %q", in.Trouble())
		}
	}
}

func awaitTrouble(t *testing.T, in *intake.Intake, want string) {
	t.Helper()
	for range 2000 {
		if what := in.Trouble(); strings.Contains(what, want) {
			return
		} else if what != "" {
			t.Fatalf("told %q, want %q", what, want)
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatalf("never told: %s", want)
}

func TestParseSpec(t *testing.T) {
	for s, want := range map[string]intake.Spec{
		"serial:/dev/ttyUSB0":       {Serial: "/dev/ttyUSB0", Baud: 115200},
		"serial:/dev/ttyACM1@9600":  {Serial: "/dev/ttyACM1", Baud: 9600},
		"serial:COM3":               {Serial: "COM3", Baud: 115200},
		"udp:9000":                  {Address: "127.0.0.1:9000"},
		"udp:0.0.0.0:9000":          {Address: "0.0.0.0:9000"},
		"udp:[::1]:9000":            {Address: "[::1]:9000"},
		"udp:192.168.4.1:65535":     {Address: "192.168.4.1:65535"},
		"serial:/dev/pts/3@1000000": {Serial: "/dev/pts/3", Baud: 1000000},
	} {
		got, err := intake.ParseSpec(s)
		if err != nil || got != want {
			t.Errorf("%s: %+v, %v; want %+v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "udp:", "udp:x", "udp:70000", "udp::9000", "serial:", "serial:@9600", "serial:/dev/x@fast", "serial:/dev/x@1", "tcp:9"} {
		if got, err := intake.ParseSpec(s); err == nil {
			t.Errorf("%q: %+v, want an error", s, got)
		} else if strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: more than one line: %v", s, err)
		}
	}
}

func FuzzParseSpec(f *testing.F) {
	for _, s := range []string{"serial:/dev/ttyUSB0@9600", "udp:9000", "udp:[::]:1", "serial:@"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		spec, err := intake.ParseSpec(s)
		if err == nil && (spec.Serial == "") == (spec.Address == "") {
			t.Errorf("%q: %+v", s, spec)
		}
		if err != nil && intake.Looks(s) && err.Error() == "" {
			t.Errorf("%q: an error that says nothing", s)
		}
	})
}

// A port that is not there, or is no port, is told with what there is to do.
func TestNoPort(t *testing.T) {
	_, err := intake.Open("serial:" + filepath.Join(t.TempDir(), "ttyUSB9"))
	if err == nil || !strings.Contains(err.Error(), "no such port; there") {
		t.Errorf("a missing port: %v", err)
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := intake.Open("serial:" + file); err == nil || !strings.Contains(err.Error(), "no serial port") {
		t.Errorf("a file: %v", err)
	}
}

// udp opens an intake and returns an address to send to.
func udp(t *testing.T) (*intake.Intake, string) {
	t.Helper()
	in, err := intake.Open("udp:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { in.Close() })
	return in, strings.TrimPrefix(in.Name(), "UDP ")
}

func dial(t *testing.T, address string) net.Conn {
	t.Helper()
	c, err := net.Dial("udp", address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

func TestUDP(t *testing.T) {
	in, address := udp(t)
	if !strings.HasPrefix(address, "127.0.0.1:") {
		t.Errorf("listens on %s, want this machine only", address)
	}
	first, other := dial(t, address), dial(t, address)
	fmt.Fprint(first, "t,ax,ay,az\r\n1,2,3,4\n\n")
	for range 3 {
		fmt.Fprint(other, "9,9,9,9")
	}
	fmt.Fprint(first, "1.5,2,3,4")
	for _, want := range []string{"t,ax,ay,az", "1,2,3,4", "1.5,2,3,4"} {
		if l := await(t, in); string(l.Text) != want || l.Fresh {
			t.Errorf("got %q, want %q", l.Text, want)
		}
	}
	awaitTrouble(t, in, "as well and are left out")
	first.Write(make([]byte, 60000)) // one line, too long to be a row
	first.Write([]byte(strings.Repeat("1,2\n", 3000)))
	fmt.Fprint(first, "2,2,3,4")
	n := 0
	for l := await(t, in); string(l.Text) != "2,2,3,4"; l = await(t, in) {
		if n++; string(l.Text) != "1,2" {
			t.Fatalf("got %.40q", l.Text)
		}
	}
	if n > 600 {
		t.Errorf("%d lines of one datagram were taken", n)
	}
	if what := in.Trouble(); what != "" {
		t.Errorf("told again: %s", what)
	}
}

// Nobody takes the lines for long: old ones are dropped, and that is told.
func TestOverflow(t *testing.T) {
	in, address := udp(t)
	c := dial(t, address)
	for i := range 80 {
		fmt.Fprint(c, strings.Repeat(fmt.Sprintln(i), 200))
		time.Sleep(time.Millisecond)
	}
	awaitTrouble(t, in, "were lost")
}

// A sender that is started again sends from another port, and is listened to before
// long; while the old one may still send, it is not. Nothing of it is news.
func TestUDPSenderStartedAgain(t *testing.T) {
	in, address := udp(t)
	fmt.Fprint(dial(t, address), "1,2,3,4")
	await(t, in)
	began, again := time.Now(), dial(t, address)
	for {
		fmt.Fprint(again, "5,2,3,4")
		if l, ok := in.Next(); ok {
			if string(l.Text) != "5,2,3,4" {
				t.Errorf("got %q", l.Text)
			}
			break
		}
		if time.Since(began) > 20*time.Second {
			t.Fatal("it is never listened to")
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Logf("listened to after %.2f s", time.Since(began).Seconds())
	if what := in.Trouble(); what != "" {
		t.Errorf("told: %s", what)
	}
}

func TestUDPTaken(t *testing.T) {
	_, address := udp(t)
	if _, err := intake.Open("udp:" + address); err == nil || !strings.Contains(err.Error(), "listens there already") {
		t.Errorf("a port that is taken: %v", err)
	}
}

// What comes from a pipe is cut into lines; its end is told once, and that it is
// over. Its first line is whole.
func TestRead(t *testing.T) {
	long := strings.Repeat("9", 10000)
	in := intake.Read("pipe", strings.NewReader("t,ax,ay,az\n"+long+"\n0.1,1,2,3\n0.2,1"), nil)
	for _, want := range []string{"t,ax,ay,az", "0.1,1,2,3"} {
		if l := await(t, in); string(l.Text) != want || l.Fresh {
			t.Errorf("line %q, fresh %v; want %q, whole", l.Text, l.Fresh, want)
		}
	}
	awaitTrouble(t, in, "pipe: it has ended")
	for range 1000 {
		if in.Away() {
			break
		}
		time.Sleep(time.Millisecond)
	}
	if _, ok := in.Next(); ok || in.Trouble() != "" || !in.Away() {
		t.Errorf("after the end: a line %v, away %v", ok, in.Away())
	}
	if err := in.Close(); err != nil {
		t.Error(err)
	}
}
