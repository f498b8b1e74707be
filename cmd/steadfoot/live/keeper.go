package live

import (
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"steadfoot/audio"
)

const (
	keeperHolds = 10.0            // s of sound that wait for a slow disk
	keeperEnds  = 5 * time.Second // the end of a walk waits no longer for the disk
)

var errBehind = fmt.Errorf("the disk was more than %.0f s behind", keeperHolds)

// Keeper writes the sound of a walk to a file while it is walked. The walk's
// goroutine gives it the pieces and never waits for the disk, which is another
// goroutine's business. Once the disk is full, fails or does not keep up, no more
// is kept; what is there can be read.
type Keeper struct {
	rate int
	wait bool // for the disk; nobody walks
	done chan struct{}

	mu     sync.Mutex
	change *sync.Cond
	in     pieces // what has come
	ended  bool
	err    error // the first one
	told   bool

	// The other goroutine's: what is being written, how much of it was read, and
	// the sample that comes next.
	out         pieces
	runs, taken int
	next        int64
}

// pieces are runs of samples; between two of them some were lost.
type pieces struct {
	samples []float32
	runs    []run
}

type run struct {
	at int64 // place of its first sample
	n  int
}

// NewKeeper keeps sound of that rate, in Hz, in f, which is empty: as 16-bit WAV,
// mono, at 48 kHz where the sound has more. Lost samples are silence there, so
// that a place in the file is the time of the walk. With wait, Take waits for the
// disk, for a walk that is gone through as fast as it can be.
func NewKeeper(f *os.File, rate int, wait bool) (*Keeper, error) {
	k := &Keeper{rate: rate, wait: wait, done: make(chan struct{})}
	k.change = sync.NewCond(&k.mu)
	for _, p := range []*pieces{&k.in, &k.out} {
		p.samples = make([]float32, 0, int(keeperHolds*float64(rate)))
	}
	src := audio.Source(&keptSound{k})
	if rate > audio.Rate {
		src = audio.Resample(src, audio.Rate)
	}
	rec, err := audio.NewWAVRecorder(f, src.Rate())
	if err != nil {
		return nil, err
	}
	go k.run(src, rec)
	return k, nil
}

// Take adds a piece.
func (k *Keeper) Take(b *audio.Block) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for len(k.in.samples)+len(b.Samples) > cap(k.in.samples) && !k.ended {
		if !k.wait {
			k.stop(errBehind)
			return
		}
		k.change.Wait()
	}
	if k.ended {
		return
	}
	k.in.add(b)
	k.change.Broadcast()
}

func (p *pieces) add(b *audio.Block) {
	p.samples = append(p.samples, b.Samples...)
	if n := len(p.runs); n > 0 && p.runs[n-1].at+int64(p.runs[n-1].n) == b.Index {
		p.runs[n-1].n += len(b.Samples)
		return
	}
	p.runs = append(p.runs, run{b.Index, len(b.Samples)})
}

// stop takes no more; err may be nil. The lock is held.
func (k *Keeper) stop(err error) {
	k.ended = true
	if k.err == nil {
		k.err = err
	}
	k.change.Broadcast()
}

// Trouble tells once, in one line, why no more is kept; "" while all is well. It
// does not wait.
func (k *Keeper) Trouble() string {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.err == nil || k.told {
		return ""
	}
	k.told = true
	return fmt.Sprintf("the sound is no longer kept: %v; the walk goes on", k.err)
}

// Close writes what waits and completes the file. The error is why not all of the
// sound is in it.
func (k *Keeper) Close() error {
	k.mu.Lock()
	k.stop(nil)
	k.mu.Unlock()
	select {
	case <-k.done:
	case <-time.After(keeperEnds):
		return errors.New("the disk does not take the rest of the sound")
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.err
}

// run writes until there is no more.
func (k *Keeper) run(src audio.Source, rec *audio.WAVRecorder) {
	defer close(k.done)
	err := record(src, rec)
	if cerr := rec.Close(); err == nil {
		err = cerr
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.stop(err)
}

func record(src audio.Source, rec *audio.WAVRecorder) error {
	var b audio.Block
	for {
		if err := src.Read(&b); err != nil {
			if err == io.EOF {
				return nil
			}
			return err
		}
		if err := rec.Silence(b.Index - rec.Len()); err != nil {
			return err
		}
		if err := rec.Write(b.Samples); err != nil {
			return err
		}
	}
}

// keptSound is what waits in a Keeper, as a Source.
type keptSound struct{ k *Keeper }

func (s *keptSound) Rate() int    { return s.k.rate }
func (s *keptSound) Close() error { return nil }

// Read implements audio.Source.
func (s *keptSound) Read(b *audio.Block) error {
	k := s.k
	if k.runs == len(k.out.runs) && !k.fetch() {
		*b = audio.Block{}
		return io.EOF
	}
	r := k.out.runs[k.runs]
	*b = audio.Block{Index: r.at, Samples: k.out.samples[k.taken : k.taken+r.n], Lost: r.at - k.next}
	k.runs++
	k.taken += r.n
	k.next = r.at + int64(r.n)
	return nil
}

// fetch waits for something to write; false at the end.
func (k *Keeper) fetch() bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	for len(k.in.runs) == 0 && !k.ended {
		k.change.Wait()
	}
	k.in, k.out = pieces{k.out.samples[:0], k.out.runs[:0]}, k.in
	k.runs, k.taken = 0, 0
	k.change.Broadcast()
	return len(k.out.runs) > 0
}
