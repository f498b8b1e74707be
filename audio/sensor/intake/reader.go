package intake

import (
	"bytes"
	"io"

	"steadfoot/audio/sensor"
)

// Read takes the lines that come from r, such as standard input, until it ends; the
// name is for messages. Close closes c, which may be nil: then a read that is under
// way is left behind.
func Read(name string, r io.Reader, c io.Closer) *Intake {
	i := newIntake(name)
	i.close = closing{c}
	go func() {
		i.cut(r, false)
		i.leave("it has ended, and no more rows come")
	}()
	return i
}

// closing closes what may be nothing.
type closing struct{ c io.Closer }

func (c closing) Close() error {
	if c.c == nil {
		return nil
	}
	return c.c.Close()
}

// cut cuts what comes into lines until r fails. fresh tells that the beginning of
// the first one may be missing.
func (i *Intake) cut(r io.Reader, fresh bool) {
	buf := make([]byte, 0, sensor.LongestLine)
	chunk := make([]byte, 1024)
	tooLong := false
	for {
		n, err := r.Read(chunk)
		rest := chunk[:n]
		for len(rest) > 0 {
			head, after, whole := bytes.Cut(rest, []byte{'\n'})
			if len(buf)+len(head) > cap(buf) {
				tooLong = true // a line without end is thrown away to its end
				head = head[:cap(buf)-len(buf)]
			}
			buf = append(buf, head...)
			rest = after
			if !whole {
				break
			}
			if !tooLong {
				i.push(buf, fresh)
			}
			buf, fresh, tooLong = buf[:0], false, false
		}
		if err != nil || n == 0 {
			return
		}
	}
}
