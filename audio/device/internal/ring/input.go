package ring

// Slot is one callback's worth of input. The meaning of the numbers is that of
// wire.BlockHead; Index counts device frames, before any gap is known.
type Slot struct {
	Index                int64
	Flags                uint32
	Clock, ADC, Now, DAC int64
	Missing              int64
	Samples              []float32 // of constant capacity
}

// Input is a queue of slots with room for samples.
type Input = Queue[Slot]

// NewInput makes a queue of n slots for at most frames samples each.
func NewInput(n, frames int) *Input {
	q := NewQueue[Slot](n)
	all := make([]float32, n*frames)
	for i := range q.slots {
		q.slots[i].Samples = all[i*frames : i*frames : (i+1)*frames]
	}
	return q
}
