// Package audio brings sound in and out: files, pipes and, through
// [steadfoot/audio/device], a sound card. Inside the program sound is mono
// float32 with full scale at ±1; stereo exists only on the way out.
//
// [Open] reads any sound file as a [Source], [NewReader] one that comes through
// a pipe and [NewPCM] samples without a header; [CreateWAV] makes a [Sink],
// [WriteWAV] a short file at once. A Source keeps the rate of its file;
// [Resample] is for mixing it into what is played.
//
// What is read is never trusted: sizes in a header ask for no memory, a fault
// of a decoder becomes an error, and what is merely poor (cut off, clipped,
// silent, not numbers) is read and told by [File.Warnings].
package audio

// Rate is the sample rate of everything that is played, in Hz.
const Rate = 48000

// Block is a run of consecutive samples.
type Block struct {
	// Index is the place of Samples[0] on the input's sample clock. It counts
	// lost samples too, so Index/rate is always the session time.
	Index int64
	// Samples are mono, full scale ±1. They belong to the Source and are valid
	// until its next Read.
	Samples []float32
	// Lost is how many samples went missing just before this block.
	Lost int64
	// Fault says in one line what went wrong before or in this block; "" when
	// nothing did.
	Fault string
}

// Source gives mono sound block by block. One goroutine uses it at a time.
type Source interface {
	// Rate is the sample rate in Hz, constant over the source's life.
	Rate() int
	// Read fills b with the next samples, at most a few thousand of them.
	// It returns io.EOF, and no samples, when the sound has ended.
	Read(b *Block) error
	// Close frees what the source holds.
	Close() error
}

// Frame is one stereo sample: left ear, right ear.
type Frame = [2]float32

// Sink takes stereo sound at Rate. One goroutine uses it at a time.
type Sink interface {
	// Write takes all of frames or fails. It does not keep the slice.
	Write(frames []Frame) error
	// Close finishes the output; a file is complete only after it.
	Close() error
}
