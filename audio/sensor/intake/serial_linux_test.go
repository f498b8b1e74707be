package intake_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"steadfoot/audio/sensor/intake"
)

// line makes a pair of terminals that stands for a serial line: what is written
// to the first comes out of the one of the name.
func line(t *testing.T) (*os.File, string) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() { master.Close() })
	fd := int(master.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	return master, fmt.Sprintf("/dev/pts/%d", n)
}

// A line is read, lost when its plug is pulled, and read again when it is back.
func TestSerialUnplugged(t *testing.T) {
	port := filepath.Join(t.TempDir(), "ttyUSB0") // as the system names it, whichever it is
	plug := func() *os.File {
		master, name := line(t)
		os.Remove(port)
		if err := os.Symlink(name, port); err != nil {
			t.Fatal(err)
		}
		return master
	}
	master := plug()
	in, err := intake.Open("serial:" + port + "@115200")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	master.WriteString("3,4\r\n1,2,")
	master.WriteString("3,4\n" + strings.Repeat("x", 9000) + "\n5,6,7,8\n")
	for i, want := range []string{"3,4\r", "1,2,3,4", "5,6,7,8"} {
		if l := await(t, in); string(l.Text) != want || l.Fresh != (i == 0) {
			t.Errorf("got %q, fresh %v; want %q", l.Text, l.Fresh, want)
		}
	}
	for range 3 {
		os.Remove(port)
		master.Close()
		awaitTrouble(t, in, "is gone; plug it in again")
		if !in.Away() {
			t.Error("it is not away")
		}
		time.Sleep(500 * time.Millisecond) // in which it is looked for in vain
		began := time.Now()
		master = plug()
		awaitTrouble(t, in, "is back")
		master.WriteString("9,9,9,9\n")
		if l := await(t, in); string(l.Text) != "9,9,9,9" || !l.Fresh {
			t.Errorf("got %q, fresh %v, after it is back", l.Text, l.Fresh)
		}
		t.Logf("a line came %.2f s after the plug was put back", time.Since(began).Seconds())
		if what := in.Trouble(); what != "" || in.Away() {
			t.Errorf("told %q, away %v", what, in.Away())
		}
	}
}

// Closing ends the reading of a line on which nothing comes, and of one that is
// gone.
func TestSerialClose(t *testing.T) {
	for _, gone := range []bool{false, true} {
		master, name := line(t)
		in, err := intake.Open("serial:" + name)
		if err != nil {
			t.Fatal(err)
		}
		if gone {
			master.Close()
			awaitTrouble(t, in, "is gone")
		}
		in.Close()
		in.Close()
	}
}
