// Package wire is the language between the walk's process and the sound
// process. Both ends are the same build of the same program, so there is one
// version and no negotiation.
//
// A frame on a pipe is
//
//	'S' 'f' kind version | length uint32 | payload of length bytes
//
// with all numbers little-endian. The walk's process sends
//
//	Open    JSON of OpenRequest: open these devices and run the stream
//	List    nothing: list the devices and end
//	Go      nothing: the clock starts, the next callback holds sample 0
//	Output  index int64, then left and right float32 for each frame
//	Stop    nothing: play what was written, then end
//
// and the sound process answers
//
//	Opened  JSON of OpenReply: the stream runs
//	Devices JSON of []Device
//	Block   a BlockHead, then float32 samples (none: silence)
//	Failed  one line of text: what went wrong; the process ends
package wire

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Kind says what a frame holds.
type Kind byte

// The kinds of frame; the package comment says what each one carries.
const (
	Open Kind = iota + 1
	List
	Go
	Output
	Stop
	Opened
	Devices
	Block
	Failed
	lastKind = Failed
)

const (
	version    = 1
	headerSize = 8
	// MaxPayload bounds a frame, in bytes. A list of devices is the largest.
	MaxPayload = 1 << 20
)

// errNotFrame is what text or a broken stream on the pipe gives.
var errNotFrame = errors.New("what came over the pipe is not from a sound process of this version")

// Writer writes frames, each with one call of Write unless they are gathered, and
// allocates nothing once its buffer has grown. It is for one goroutine at a time.
type Writer struct {
	w      io.Writer
	buf    []byte
	start  int  // of the last frame in buf
	gather bool // until Flush
}

// NewWriter returns a Writer on w.
func NewWriter(w io.Writer) *Writer { return &Writer{w: w, buf: make([]byte, 0, 16<<10)} }

// Gather keeps the frames that follow until Flush.
func (w *Writer) Gather() { w.gather, w.buf = true, w.buf[:0] }

// Flush writes what was gathered, with one call of Write.
func (w *Writer) Flush() error {
	w.gather = false
	if len(w.buf) == 0 {
		return nil
	}
	_, err := w.w.Write(w.buf)
	return err
}

func (w *Writer) begin(k Kind) {
	if !w.gather {
		w.buf = w.buf[:0]
	}
	w.start = len(w.buf)
	w.buf = append(w.buf, 'S', 'f', byte(k), version, 0, 0, 0, 0)
}

func (w *Writer) send() error {
	n := len(w.buf) - w.start - headerSize
	if n > MaxPayload {
		return fmt.Errorf("a frame of %d bytes is longer than %d", n, MaxPayload)
	}
	binary.LittleEndian.PutUint32(w.buf[w.start+4:], uint32(n))
	if w.gather {
		return nil
	}
	_, err := w.w.Write(w.buf)
	return err
}

// Bare writes a frame without payload.
func (w *Writer) Bare(k Kind) error {
	w.begin(k)
	return w.send()
}

// Text writes a frame of text.
func (w *Writer) Text(k Kind, s string) error {
	w.begin(k)
	w.buf = append(w.buf, s...)
	return w.send()
}

// JSON writes a frame that holds v.
func (w *Writer) JSON(k Kind, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return w.Text(k, string(b))
}

// Reader reads frames. It is for one goroutine at a time.
type Reader struct {
	r    io.Reader
	head [headerSize]byte
	buf  []byte
}

// NewReader returns a Reader on r.
func NewReader(r io.Reader) *Reader {
	return &Reader{r: bufio.NewReaderSize(r, 64<<10), buf: make([]byte, 0, 16<<10)}
}

// Next returns the next frame. The payload is valid until the next call.
// The error is io.EOF only between two frames.
func (r *Reader) Next() (Kind, []byte, error) {
	if _, err := io.ReadFull(r.r, r.head[:]); err != nil {
		if err == io.ErrUnexpectedEOF {
			err = errNotFrame
		}
		return 0, nil, err
	}
	h := r.head[:]
	n := binary.LittleEndian.Uint32(h[4:])
	if h[0] != 'S' || h[1] != 'f' || h[2] == 0 || h[2] > byte(lastKind) || h[3] != version || n > MaxPayload {
		return 0, nil, errNotFrame
	}
	if int(n) > cap(r.buf) {
		r.buf = make([]byte, 0, n)
	}
	p := r.buf[:n]
	if _, err := io.ReadFull(r.r, p); err != nil {
		if err == io.EOF {
			err = io.ErrUnexpectedEOF
		}
		return 0, nil, fmt.Errorf("a frame was cut short: %w", err)
	}
	return Kind(h[2]), p, nil
}
