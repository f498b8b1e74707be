package local

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"time"

	"steadfoot/coach/group"
)

// Head begins the file of a group that is led.
type Head struct {
	Version int    `json:"version"`
	Boot    string `json:"boot"`  // of the machine, see Machine
	Epoch   int64  `json:"epoch"` // when group time 0 was on the machine's clock, ns
	Term    int    `json:"term"`
	Word    string `json:"word"` // of entry
	Key     string `json:"key"`  // of the leader
}

// Machine is a clock that goes on when the program ends and begins anew when the
// machine starts. It runs on while the machine sleeps.
type Machine interface {
	Boot() string       // names this run of the machine; "" when it cannot be told
	Now() time.Duration // since some moment of this run
}

// State is the file that lets a leader who was interrupted go on: the clock and
// every command. It is written line by line; half a line at its end is what an
// interruption leaves, and is dropped.
type State struct {
	Head Head
	Past []group.Command

	machine Machine
	f       *os.File
	path    string
}

const stateVersion = 1

// mostState is more than a day of commands takes, in bytes.
const mostState = 64 << 20

func readState(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostState+1))
	if err == nil && len(data) > mostState {
		err = fmt.Errorf("%s is too large for a group that was led; move it away", path)
	}
	return data, err
}

// Resume opens the file of a group of this run of the machine. It returns nil
// and no error when there is none to go on with: no file, or one of before the
// machine was started.
func Resume(path string, m Machine) (*State, error) {
	data, err := readState(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	s := &State{machine: m, path: path}
	lines := bytes.SplitAfter(data, []byte("\n"))
	if err := json.Unmarshal(lines[0], &s.Head); err != nil || s.Head.Version != stateVersion {
		return nil, fmt.Errorf("%s is no group that was led by this version; move it away", path)
	}
	if m.Boot() == "" || s.Head.Boot != m.Boot() || time.Duration(s.Head.Epoch) > m.Now() {
		return nil, nil
	}
	good := len(lines[0])
	for i, line := range lines[1:] {
		if !bytes.HasSuffix(line, []byte("\n")) {
			break
		}
		var c group.Command
		if err := json.Unmarshal(line, &c); err != nil {
			return nil, fmt.Errorf("%s:%d is damaged; move the file away", path, i+2)
		}
		good += len(line)
		s.Past = append(s.Past, c)
	}
	if s.f, err = os.OpenFile(path, os.O_WRONLY, 0o600); err != nil {
		return nil, err
	}
	if err := s.f.Truncate(int64(good)); err != nil {
		return nil, errors.Join(err, s.f.Close())
	}
	_, err = s.f.Seek(int64(good), 0)
	return s, err
}

// Begin makes the file of a new group, whose time begins, or of one that is taken
// over, whose clock was now until then, with the commands so far. What was there is
// replaced when all is written.
func Begin(path string, m Machine, h Head, now func() float64, past []group.Command) (*State, error) {
	h.Version, h.Boot = stateVersion, m.Boot()
	h.Epoch = epoch(m, now)
	s := &State{Head: h, Past: past, machine: m}
	f, err := os.OpenFile(path+".new", os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return nil, err
	}
	s.f, s.path = f, path
	w := bufio.NewWriter(f)
	e := json.NewEncoder(w)
	err = e.Encode(h)
	for _, c := range past {
		err = errors.Join(err, e.Encode(c))
	}
	if err = errors.Join(err, w.Flush()); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return s, nil
}

// epoch is when group time 0 was on the machine's clock, ns. The group's clock is
// read between two readings of the machine's, where they are nearest of some tries:
// another program may come in between.
func epoch(m Machine, now func() float64) int64 {
	if now == nil {
		return int64(m.Now())
	}
	best, width := int64(0), int64(math.MaxInt64)
	for range 20 {
		a, at, b := int64(m.Now()), now(), int64(m.Now())
		if b-a < width {
			best, width = a+(b-a)/2-int64(at*1e9), b-a
		}
	}
	return best
}

// Now is the group time, s.
func (s *State) Now() float64 { return float64(int64(s.machine.Now())-s.Head.Epoch) / 1e9 }

// Keep stores a command.
func (s *State) Keep(c group.Command) error {
	line, err := json.Marshal(c)
	if err != nil {
		return err
	}
	_, err = s.f.Write(append(line, '\n'))
	return err
}

// Close ends the file; it stays for the next time.
func (s *State) Close() error { return s.f.Close() }

// Done ends the file and takes it away: the group has ended well.
func (s *State) Done() error { return errors.Join(s.f.Close(), os.Remove(s.path)) }
