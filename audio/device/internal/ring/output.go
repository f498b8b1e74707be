// Package ring holds the two queues between the device's callback and the rest
// of the sound process. Each has one producer and one consumer and neither
// side ever waits, locks or allocates.
package ring

import (
	"sync/atomic"

	"steadfoot/audio"
)

// Output holds rendered sound by the index of the sample it is made for. The
// producer calls Put and Room, the callback calls Play.
//
//	          played            head           played+len(buf)
//	... heard | rendered, waiting | free for Put |
type Output struct {
	buf    []audio.Frame // the frame of index k lives at k modulo the length
	mask   int64
	head   atomic.Int64 // first index that has not been written
	played atomic.Int64 // first index that has not been asked for
	late   atomic.Int64
}

// NewOutput makes a ring for size frames, a power of two.
func NewOutput(size int) *Output {
	if size <= 0 || size&(size-1) != 0 {
		panic("ring: size is not a power of two")
	}
	return &Output{buf: make([]audio.Frame, size), mask: int64(size - 1)}
}

// Put takes frames made for index and following, and returns how many of them
// it is done with; the rest did not fit yet. Frames whose time has passed are
// dropped and counted as late; a stretch left out becomes silence.
func (o *Output) Put(index int64, frames []audio.Frame) int {
	done := 0
	played, head := o.played.Load(), o.head.Load()
	if from := max(played, head); index < from {
		done = int(min(from-index, int64(len(frames))))
		o.late.Add(int64(done))
	}
	// Frames before played will never be asked for: skip them. The callback
	// reads only below the head it saw, so it never sees a half-written frame.
	head = max(head, played)
	end := played + int64(len(o.buf))
	for ; head < index && head < end; head++ {
		o.buf[head&o.mask] = audio.Frame{}
	}
	for done < len(frames) && head < end && head == index+int64(done) {
		o.buf[head&o.mask] = frames[done]
		head++
		done++
	}
	o.head.Store(head)
	return done
}

// Play fills dst with the frames made for index and following, silence where
// there are none, and returns how many were missing. Before the first Put
// nothing is counted as missing. Index never goes back.
func (o *Output) Play(dst []audio.Frame, index int64) (missing int) {
	head := o.head.Load()
	for i := range dst {
		if k := index + int64(i); k < head {
			dst[i] = o.buf[k&o.mask]
		} else {
			dst[i] = audio.Frame{}
			missing++
		}
	}
	o.played.Store(index + int64(len(dst)))
	if head == 0 {
		return 0
	}
	return missing
}

// Shared is where Play finds its frames, for one that is not written in Go: the
// frame of index k stands k & mask after the first one. It must load head before
// it reads, and store what it has asked for in played, both atomically.
func (o *Output) Shared() (first *audio.Frame, mask int64, head, played *atomic.Int64) {
	return &o.buf[0], o.mask, &o.head, &o.played
}

// Waiting is how many frames are rendered and not yet asked for.
func (o *Output) Waiting() int64 { return max(0, o.head.Load()-o.played.Load()) }

// Late is how many frames came after their time.
func (o *Output) Late() int64 { return o.late.Load() }
