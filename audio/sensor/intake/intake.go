// Package intake takes the lines of a sensor that is worn right now from a serial
// line, UDP or a pipe, and survives what happens to them: a plug that is pulled and
// put back, datagrams that are lost, come twice or come from somebody else, a
// program that writes to a named pipe, ends and is started again.
//
// [Open] starts it; [Intake.Next] gives the lines without waiting, for
// sensor.Live to read. What has gone wrong is told by [Intake.Trouble], once each.
package intake

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Line is a line of text without its end.
type Line struct {
	Text []byte
	// Fresh tells that it is the first one of a connection: its beginning may be
	// missing.
	Fresh bool
}

// Intake is a connection to a sensor. Its methods may be called by any goroutine.
type Intake struct {
	name  string
	close io.Closer
	ready chan struct{}

	mu      sync.Mutex
	lines   []Line // not yet given
	lost    int    // lines that nobody took in time
	trouble []string
	ended   bool // closed
	away    bool // nothing can come at present
}

// mostLines is how many lines wait to be taken: a minute of a quick sensor. Older
// ones are dropped.
const mostLines = 12000

func newIntake(name string) *Intake {
	return &Intake{name: name, ready: make(chan struct{}, 1)}
}

// Name is what the sensor is called in messages.
func (i *Intake) Name() string { return i.name }

// Next returns the next line, which is the caller's; false when none has come.
func (i *Intake) Next() (Line, bool) {
	i.mu.Lock()
	defer i.mu.Unlock()
	if len(i.lines) == 0 {
		return Line{}, false
	}
	l := i.lines[0]
	i.lines = i.lines[1:]
	return l, true
}

// Ready gets a value when lines have come since one was last received from it.
func (i *Intake) Ready() <-chan struct{} { return i.ready }

// Trouble is what has gone wrong, or has come right again, in one line; "" when
// there is nothing more to tell.
func (i *Intake) Trouble() string {
	i.mu.Lock()
	defer i.mu.Unlock()
	if len(i.trouble) > 0 {
		what := i.trouble[0]
		i.trouble = i.trouble[1:]
		return what
	}
	if i.lost > 0 {
		what := fmt.Sprintf("%s: %d lines came too quickly and were lost", i.name, i.lost)
		i.lost = 0
		return what
	}
	return ""
}

// Away tells that nothing can come at present, as from a line whose plug is pulled,
// or ever again, as from standard input that has ended; Trouble tells that, too, and
// what to do.
func (i *Intake) Away() bool {
	i.mu.Lock()
	defer i.mu.Unlock()
	return i.away
}

// again is how long after a loss what was lost is looked for once more.
const again = 300 * time.Millisecond

// leave begins a time in which nothing can come, and tells why.
func (i *Intake) leave(why string) {
	i.tell("%s", why)
	i.mu.Lock()
	i.away = true
	i.mu.Unlock()
}

// back ends it.
func (i *Intake) back() {
	i.mu.Lock()
	i.away = false
	i.mu.Unlock()
	i.tell("it is back")
}

// Close ends the connection; nothing comes after it.
func (i *Intake) Close() error {
	i.mu.Lock()
	ended := i.ended
	i.ended = true
	i.mu.Unlock()
	if ended {
		return nil
	}
	return i.close.Close()
}

// push takes in a line, of which it keeps a copy.
func (i *Intake) push(text []byte, fresh bool) {
	i.mu.Lock()
	if len(i.lines) == mostLines {
		i.lines = i.lines[1:]
		i.lost++
	}
	i.lines = append(i.lines, Line{append([]byte(nil), text...), fresh})
	i.mu.Unlock()
	select {
	case i.ready <- struct{}{}:
	default:
	}
}

// mostTold is how many things wait to be told.
const mostTold = 32

func (i *Intake) tell(format string, a ...any) {
	i.mu.Lock()
	defer i.mu.Unlock()
	if len(i.trouble) < mostTold && !i.ended {
		i.trouble = append(i.trouble, i.name+": "+fmt.Sprintf(format, a...))
	}
}

// Spec says where a sensor is.
type Spec struct {
	Serial  string // name of the port
	Baud    int    // bits a second
	Address string // of UDP, host:port
}

// usualBaud is that of most boards' monitors (common practice, no source).
const usualBaud = 115200

// Looks tells whether name is that of a live sensor, and no file's.
func Looks(name string) bool {
	return strings.HasPrefix(name, "serial:") || strings.HasPrefix(name, "udp:")
}

// ParseSpec reads serial:PORT, serial:PORT@BAUD, udp:PORT or udp:HOST:PORT. Without
// a host, UDP is taken from this machine only.
func ParseSpec(s string) (Spec, error) {
	if port, ok := strings.CutPrefix(s, "serial:"); ok {
		return parseSerial(s, port)
	}
	rest, ok := strings.CutPrefix(s, "udp:")
	if !ok {
		return Spec{}, fmt.Errorf("%q: want serial:PORT, serial:PORT@BAUD, udp:PORT or udp:ADDRESS:PORT", s)
	}
	host, port := "127.0.0.1", rest
	if i := strings.LastIndexByte(rest, ':'); i >= 0 {
		host, port = strings.Trim(rest[:i], "[]"), rest[i+1:]
	}
	n, err := strconv.ParseUint(port, 10, 16)
	if err != nil || host == "" {
		return Spec{}, fmt.Errorf("%q: want udp:PORT or udp:ADDRESS:PORT with a port from 1 to 65535, like udp:9000 or udp:0.0.0.0:9000", s)
	}
	if strings.Contains(host, ":") {
		host = "[" + host + "]"
	}
	return Spec{Address: host + ":" + strconv.FormatUint(n, 10)}, nil
}

func parseSerial(s, port string) (Spec, error) {
	spec := Spec{Serial: port, Baud: usualBaud}
	if i := strings.LastIndexByte(port, '@'); i >= 0 {
		n, err := strconv.Atoi(port[i+1:])
		if err != nil || n < 50 || n > 4000000 {
			return Spec{}, fmt.Errorf("%q: the speed is %q, want 50 to 4000000 bits a second, like serial:/dev/ttyUSB0@115200", s, port[i+1:])
		}
		spec.Serial, spec.Baud = port[:i], n
	}
	if spec.Serial == "" {
		return Spec{}, fmt.Errorf("%q: which port? %s", s, portsThere())
	}
	return spec, nil
}

// Open connects to the sensor that s names, see ParseSpec. The error says what to
// do.
func Open(s string) (*Intake, error) {
	spec, err := ParseSpec(s)
	if err != nil {
		return nil, err
	}
	if spec.Serial != "" {
		return openSerial(spec)
	}
	return openUDP(spec)
}
