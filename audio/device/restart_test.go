package device_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device"
)

// child is the process id of this process's only child.
func child(t *testing.T) int {
	t.Helper()
	out, err := exec.Command("pgrep", "-P", strconv.Itoa(os.Getpid()), "-f", "sound-process|fake").Output()
	if err != nil {
		t.Fatal("no sound process runs: ", err)
	}
	pid, err := strconv.Atoi(strings.Fields(string(out))[0])
	if err != nil {
		t.Fatal(err)
	}
	return pid
}

// session follows when a session began, as seen from outside: by the earliest
// of its blocks, as each may come late on a busy machine.
type session struct {
	clock func() time.Duration
	next  int64
}

// run reads for so many samples and returns when sample 0 was, by them.
func (s *session) run(t *testing.T, d *device.Duplex, samples int64, each func(audio.Block)) time.Duration {
	t.Helper()
	begun := time.Duration(math.MaxInt64)
	for end := s.next + samples; s.next < end; {
		b := block(t, d, &s.next)
		begun = min(begun, s.clock()-time.Duration(s.next)*time.Second/audio.Rate)
		if err := d.Write(make([]audio.Frame, 256)); err != nil {
			t.Fatal(err)
		}
		each(b)
	}
	return begun
}

// strike hits the sound process with a signal and checks that the session's
// clock still tells the time afterwards.
func strike(t *testing.T, d *device.Duplex, sig syscall.Signal) {
	t.Helper()
	s := session{clock: monotonic()}
	before := s.run(t, d, audio.Rate/2, func(audio.Block) {})
	pid := child(t)
	if err := syscall.Kill(pid, sig); err != nil {
		t.Fatal(err)
	}
	lost := int64(0)
	for lost == 0 && s.next < 4*audio.Rate {
		s.run(t, d, 1, func(b audio.Block) {
			if strings.Contains(b.Fault, "started it again") {
				lost = b.Lost
			}
		})
	}
	after := s.run(t, d, audio.Rate/4, func(audio.Block) {})
	off := after - before
	if lost == 0 || off < -50*time.Millisecond || off > 50*time.Millisecond {
		t.Errorf("%d samples lost; the clock is off by %v", lost, off)
	}
	if s := d.Stats(); s.Restarts < 1 || s.Lost < lost {
		t.Errorf("stats %+v, want a restart and %d lost", s, lost)
	}
	if err := syscall.Kill(pid, 0); err != syscall.ESRCH {
		t.Errorf("the old sound process is still there: %v", err)
	}
}

func TestKilledSoundProcessIsReplaced(t *testing.T) {
	strike(t, start(t, options(t, "fake", "well")), syscall.SIGKILL)
}

func TestHangingSoundProcessIsReplaced(t *testing.T) {
	strike(t, start(t, options(t, "fake", "well")), syscall.SIGSTOP)
}

// severable is a sound process that can be kept from being started again: cut
// does that until mend.
func severable(t *testing.T) (o device.Options, cut, mend func()) {
	t.Helper()
	o = options(t, "fake", "well")
	self := o.Command[len(o.Command)-3]
	link := filepath.Join(t.TempDir(), "steadfoot")
	mend = func() {
		if err := os.Symlink(self, link); err != nil {
			t.Fatal(err)
		}
	}
	mend()
	o.Command[len(o.Command)-3] = link
	return o, func() {
		if err := os.Remove(link); err != nil {
			t.Fatal(err)
		}
		if err := syscall.Kill(child(t), syscall.SIGKILL); err != nil {
			t.Fatal(err)
		}
	}, mend
}

// While the device is gone the time goes on, told once in words; when it is
// back the word tells of all that was lost, and the clock is right.
func TestTimeGoesOnWithoutDevice(t *testing.T) {
	o, cut, mend := severable(t)
	d := start(t, o)
	s := session{clock: monotonic()}
	before := s.run(t, d, audio.Rate/2, func(audio.Block) {})
	cut()
	var gone, lost int64 // words while it was gone, samples
	for lost < 3*audio.Rate {
		var b audio.Block
		if err := d.Read(&b); err != nil {
			t.Fatal(err)
		}
		if b.Index != s.next+b.Lost {
			t.Fatalf("block at %d after %d with %d lost", b.Index, s.next, b.Lost)
		}
		s.next = b.Index + int64(len(b.Samples))
		if lost += b.Lost; len(b.Samples) > 0 {
			continue // what was on its way
		}
		if b.Fault != "" {
			gone++
			t.Log(b.Fault)
		}
		if off := s.clock() - time.Duration(b.Index)*time.Second/audio.Rate - before; off < -50*time.Millisecond || off > time.Second {
			t.Errorf("the time told is %v late", off)
		}
	}
	if gone != 1 {
		t.Errorf("the loss was told %d times", gone)
	}
	mend()
	back := ""
	for back == "" {
		var b audio.Block
		if err := d.Read(&b); err != nil {
			t.Fatal(err)
		}
		lost += b.Lost
		s.next = b.Index + int64(len(b.Samples))
		if len(b.Samples) > 0 {
			back = b.Fault
		}
	}
	if want := fmt.Sprintf("started it again; %.0f ms lost", float64(lost)*1000/audio.Rate); !strings.HasSuffix(back, want) {
		t.Errorf("told %q, want the end %q", back, want)
	}
	after := s.run(t, d, audio.Rate/4, func(audio.Block) {})
	if off := after - before; off < -50*time.Millisecond || off > 50*time.Millisecond {
		t.Errorf("the clock is off by %v", off)
	}
	if s := d.Stats(); s.Restarts != 1 || s.Lost != lost {
		t.Errorf("stats %+v, want one restart and %d lost", s, lost)
	}
}

// Close during an outage ends the waiting Read, and starts nothing any more.
func TestCloseWithoutDevice(t *testing.T) {
	o, cut, mend := severable(t)
	d := start(t, o)
	s := session{clock: monotonic()}
	s.run(t, d, audio.Rate/10, func(audio.Block) {})
	cut()
	ended := make(chan error)
	go func() {
		var err error
		for b := new(audio.Block); err == nil; {
			err = d.Read(b)
		}
		ended <- err
	}()
	time.Sleep(100 * time.Millisecond) // until Read knows; it need not
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	mend()
	if err := <-ended; !strings.Contains(err.Error(), "closed") {
		t.Errorf("Read ends with %q", err)
	}
	if exec.Command("pgrep", "-P", strconv.Itoa(os.Getpid()), "-f", "fake").Run() == nil {
		t.Error("a sound process runs")
	}
}

// A device that does not come back ends both sides, also for who only writes.
func TestGivenUpFailsBothSides(t *testing.T) {
	o, cut, _ := severable(t)
	o.GiveUp = 500 * time.Millisecond
	d := start(t, o)
	s := session{clock: monotonic()}
	s.run(t, d, audio.Rate/10, func(audio.Block) {})
	cut()
	var err error
	for err == nil {
		err = d.Read(new(audio.Block))
	}
	if !strings.Contains(err.Error(), "has not come back within 500ms") {
		t.Errorf("Read fails with %q", err)
	}
	if werr := d.Write(make([]audio.Frame, 10)); werr != err {
		t.Errorf("Write fails with %v, Read with %v", werr, err)
	}
}
