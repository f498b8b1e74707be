// Package textline reads the lines of a sensor stream: without their ends, empty
// ones and comments left out, none longer than is allowed.
package textline

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
)

const bom = "\ufeff"

// Reader gives the lines of one stream.
type Reader struct {
	name   string
	r      *bufio.Reader
	most   int
	number int
	cut    bool
	again  []byte
}

// New returns the lines of r, which may be as long as most bytes. The name is for
// messages.
func New(name string, r io.Reader, most int) *Reader {
	return &Reader{name: name, r: bufio.NewReaderSize(r, most), most: most}
}

// Name is the name given to New.
func (l *Reader) Name() string { return l.name }

// Cut tells that the line last given has no end: the input stops in it.
func (l *Reader) Cut() bool { return l.cut }

// Again has the next call of Next give line once more. It keeps a copy.
func (l *Reader) Again(line []byte) { l.again = bytes.Clone(line) }

// Next returns the next line that is neither empty nor a comment. It is valid
// until the next call. At the end of the input it gives io.EOF. Another error of
// the input comes as it is, and what was read of a line before it is dropped:
// half a number looks like a number.
func (l *Reader) Next() ([]byte, error) {
	if p := l.again; p != nil {
		l.again = nil
		return p, nil
	}
	for {
		line, err := l.r.ReadSlice('\n')
		if err != nil && err != io.EOF && err != bufio.ErrBufferFull {
			return nil, err
		}
		if len(line) == 0 && err == io.EOF {
			return nil, io.EOF
		}
		l.number++
		if err == bufio.ErrBufferFull {
			return nil, l.Fault(fmt.Errorf("line longer than %d bytes", l.most))
		}
		l.cut = err != nil
		if l.number == 1 {
			line = bytes.TrimPrefix(line, []byte(bom))
		}
		if line = bytes.TrimSpace(line); len(line) > 0 && line[0] != '#' {
			return line, nil
		}
	}
}

// Fault puts the name of the stream and the number of the line last read before
// an error.
func (l *Reader) Fault(err error) error {
	return fmt.Errorf("%s:%d: %w", l.name, l.number, err)
}
