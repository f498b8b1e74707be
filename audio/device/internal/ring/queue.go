package ring

import "sync/atomic"

// Queue is a queue of slots that are filled and read in place. The callback
// calls Next and Commit, the consumer Len, At and Release.
type Queue[T any] struct {
	slots []T
	head  atomic.Int64 // slots committed
	tail  atomic.Int64 // slots released
}

// NewQueue makes a queue of n slots.
func NewQueue[T any](n int) *Queue[T] { return &Queue[T]{slots: make([]T, n)} }

// Next is the slot to fill, or nil when the queue is full.
func (q *Queue[T]) Next() *T {
	head := q.head.Load()
	if head-q.tail.Load() == int64(len(q.slots)) {
		return nil
	}
	return &q.slots[head%int64(len(q.slots))]
}

// Commit hands the slot that Next gave to the consumer.
func (q *Queue[T]) Commit() { q.head.Add(1) }

// Len is how many slots wait.
func (q *Queue[T]) Len() int { return int(q.head.Load() - q.tail.Load()) }

// At is the i-th waiting slot, 0 the oldest, i < Len.
func (q *Queue[T]) At(i int) *T {
	return &q.slots[(q.tail.Load()+int64(i))%int64(len(q.slots))]
}

// Release gives the n oldest slots back to the producer.
func (q *Queue[T]) Release(n int) { q.tail.Add(int64(n)) }
