package textline

import (
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

func TestLines(t *testing.T) {
	l := New("x.csv", strings.NewReader("\ufeff# comment\n\n a,b \r\n1,2\n3,4"), 64)
	for i, want := range []string{"a,b", "1,2", "3,4"} {
		line, err := l.Next()
		if err != nil || string(line) != want || l.Cut() != (i == 2) {
			t.Errorf("%d: %q, %v, cut %v", i, line, err, l.Cut())
		}
	}
	if _, err := l.Next(); err != io.EOF {
		t.Errorf("at the end: %v", err)
	}
	if err := l.Fault(errors.New("odd")); err.Error() != "x.csv:5: odd" {
		t.Error(err)
	}
}

func TestAgain(t *testing.T) {
	l := New("x", strings.NewReader("one\ntwo\n"), 64)
	line, _ := l.Next()
	l.Again(line)
	for _, want := range []string{"one", "two"} {
		if line, err := l.Next(); err != nil || string(line) != want {
			t.Errorf("%q, %v, want %s", line, err, want)
		}
	}
}

func TestTooLong(t *testing.T) {
	l := New("x", strings.NewReader("ok\n"+strings.Repeat("9", 100)+"\n"), 16)
	if _, err := l.Next(); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Next(); err == nil || err.Error() != "x:2: line longer than 16 bytes" {
		t.Errorf("%v", err)
	}
}

// TestBrokenOff: an input that fails in the middle of a line gives the error and
// not the half of the line, "1.2" of "1.234".
func TestBrokenOff(t *testing.T) {
	broken := errors.New("gone")
	l := New("x", io.MultiReader(strings.NewReader("0.5\n1.2"), iotest.ErrReader(broken)), 64)
	if line, err := l.Next(); err != nil || string(line) != "0.5" {
		t.Fatalf("%q, %v", line, err)
	}
	if line, err := l.Next(); err != broken {
		t.Errorf("%q, %v", line, err)
	}
}
