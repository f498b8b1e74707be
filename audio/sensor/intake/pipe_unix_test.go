//go:build unix

package intake_test

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio/sensor/intake"
)

// A program that writes to a named pipe ends, another one goes on, also after the
// pipe was made anew; half a line of the first one is not joined with the other's.
func TestPipeWriterStartedAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rows")
	fifo := func() {
		if err := syscall.Mkfifo(path, 0o600); err != nil {
			t.Skip("no named pipes here:", err)
		}
	}
	write := func(text string) { // and end
		f, err := os.OpenFile(path, os.O_WRONLY, 0) // waits for the reader
		if err == nil {
			_, err = f.WriteString(text)
			f.Close()
		}
		if err != nil {
			t.Error(err)
		}
	}
	fifo()
	go write("t,ax,ay,az\n1,2,3,4\n2,2,")
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	in := intake.Pipe(f)
	defer in.Close()
	for _, want := range []string{"t,ax,ay,az", "1,2,3,4"} {
		if l := await(t, in); string(l.Text) != want || l.Fresh {
			t.Errorf("got %q, fresh %v; want %q", l.Text, l.Fresh, want)
		}
	}
	for _, anew := range []bool{false, true, false} {
		awaitTrouble(t, in, path+": what wrote to it has ended; start it again")
		if anew {
			os.Remove(path)
			fifo()
		}
		time.Sleep(500 * time.Millisecond) // in which nobody writes
		if what := in.Trouble(); what != "" || !in.Away() {
			t.Errorf("told %q, away %v", what, in.Away())
		}
		began := time.Now()
		write("3,2,3,4\n")
		if l := await(t, in); string(l.Text) != "3,2,3,4" {
			t.Errorf("got %q", l.Text)
		}
		t.Logf("a line came after %.2f s; made anew: %v", time.Since(began).Seconds(), anew)
		awaitTrouble(t, in, path+": it is back")
	}
}

// Closing ends the reading of a pipe to which nobody writes, and of one whose writer
// says nothing.
func TestPipeClose(t *testing.T) {
	for _, ended := range []bool{false, true} {
		path := filepath.Join(t.TempDir(), "rows")
		if err := syscall.Mkfifo(path, 0o600); err != nil {
			t.Skip("no named pipes here:", err)
		}
		w, err := os.OpenFile(path, os.O_RDWR, 0)
		if err != nil {
			t.Fatal(err)
		}
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		in := intake.Pipe(f)
		if ended {
			w.Close()
			awaitTrouble(t, in, "has ended")
		}
		if err := in.Close(); err != nil {
			t.Error(err)
		}
		if err := in.Close(); err != nil {
			t.Error(err)
		}
		w.Close()
	}
}
