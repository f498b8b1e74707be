package ring

import "sync/atomic"

// Slot is one callback's worth of input. The meaning of the numbers is that of
// wire.BlockHead; Index counts device frames, before any gap is known.
type Slot struct {
	Index                int64
	Flags                uint32
	Clock, ADC, Now, DAC int64
	Missing              int64
	Samples              []float32 // of constant capacity
}

// Input is a queue of slots. The callback calls Next and Commit, the consumer
// Len, At and Release.
type Input struct {
	slots []Slot
	head  atomic.Int64 // slots committed
	tail  atomic.Int64 // slots released
}

// NewInput makes a queue of n slots for at most frames samples each.
func NewInput(n, frames int) *Input {
	q := &Input{slots: make([]Slot, n)}
	all := make([]float32, n*frames)
	for i := range q.slots {
		q.slots[i].Samples = all[i*frames : i*frames : (i+1)*frames]
	}
	return q
}

// Next is the slot to fill, or nil when the queue is full.
func (q *Input) Next() *Slot {
	head := q.head.Load()
	if head-q.tail.Load() == int64(len(q.slots)) {
		return nil
	}
	return &q.slots[head%int64(len(q.slots))]
}

// Commit hands the slot that Next gave to the consumer.
func (q *Input) Commit() { q.head.Add(1) }

// Len is how many slots wait.
func (q *Input) Len() int { return int(q.head.Load() - q.tail.Load()) }

// At is the i-th waiting slot, 0 the oldest, i < Len.
func (q *Input) At(i int) *Slot {
	return &q.slots[(q.tail.Load()+int64(i))%int64(len(q.slots))]
}

// Release gives the n oldest slots back to the producer.
func (q *Input) Release(n int) { q.tail.Add(int64(n)) }
