// Package pod listens to a foot pod over Bluetooth Low Energy: a sensor with the
// standard Running Speed and Cadence service. [Open] finds one, stays with it and
// finds it again when it was lost; [Pod.Next] gives its packets without waiting,
// for package rsc to read.
//
// [Radio] is the way to the radio. There is one for Linux, where BlueZ runs.
package pod

import (
	"context"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"
)

// Found is a foot pod that has been seen.
type Found struct {
	Name    string `json:"name"`    // as it calls itself; may be empty
	Address string `json:"address"` // six bytes in hex
	Signal  int    `json:"signal"`  // strength, dBm; 0: not known
}

// String returns the name and the address.
func (f Found) String() string {
	if f.Name == "" {
		return f.Address
	}
	return fmt.Sprintf("%s (%s)", oneLine(f.Name), f.Address)
}

// oneLine keeps what a stranger calls its device from breaking a line.
func oneLine(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r < ' ' || r == ' ' || r == 0x7f }), " ")
}

// Radio finds pods and listens to them. It is used by one goroutine at a time.
type Radio interface {
	// Scan calls found for each pod it sees, some of them often, until found
	// returns false or ctx is done; then it returns nil.
	Scan(ctx context.Context, found func(Found) bool) error
	// Listen connects to a pod that was found and calls give with every packet,
	// until the pod is lost, which is an error, or ctx is done. The packet is
	// valid until give returns. ready is called once packets may come.
	Listen(ctx context.Context, f Found, ready func(), give func(packet []byte)) error
	io.Closer
}

const (
	lookFor   = 15 * time.Second       // for a pod, when a walk begins
	again     = 500 * time.Millisecond // after which a lost one is looked for
	scanRound = 10 * time.Second
	mostKept  = 600 // packets that wait to be taken: ten minutes
)

// Pod is a foot pod that is listened to. Its methods may be called by any
// goroutine.
type Pod struct {
	radio Radio
	found Found
	stop  context.CancelFunc
	done  chan struct{}
	ready chan struct{}

	mu      sync.Mutex
	packets [][]byte
	trouble []string
}

// Open looks for a pod and starts to listen to it. wanted is its address, or a
// part of its name, in any case; "" is any pod. The error says what to do.
func Open(ctx context.Context, radio Radio, wanted string) (*Pod, error) {
	found, others, err := look(ctx, radio, wanted, lookFor)
	if err != nil {
		return nil, err
	}
	if found == nil {
		return nil, nothing(wanted, others)
	}
	ctx, stop := context.WithCancel(context.WithoutCancel(ctx))
	p := &Pod{radio: radio, found: *found, stop: stop, done: make(chan struct{}), ready: make(chan struct{}, 1)}
	go p.run(ctx)
	return p, nil
}

// look scans for a pod; nil when it is not there. others are the pods that were.
func look(ctx context.Context, radio Radio, wanted string, most time.Duration) (found *Found, others []Found, err error) {
	ctx, cancel := context.WithTimeout(ctx, most)
	defer cancel()
	err = radio.Scan(ctx, func(f Found) bool {
		if f.is(wanted) {
			found = &f
			return false
		}
		others = note(others, f)
		return true
	})
	return found, others, err
}

// List looks for pods for as long as is said and returns those it found.
func List(ctx context.Context, radio Radio, most time.Duration) ([]Found, error) {
	_, all, err := look(ctx, radio, "\x00", most)
	return all, err
}

// note adds f to all, or brings what is known about it up to date.
func note(all []Found, f Found) []Found {
	for i := range all {
		if all[i].Address == f.Address {
			if f.Name == "" {
				f.Name = all[i].Name
			}
			all[i] = f
			return all
		}
	}
	return append(all, f)
}

// is tells whether f is the wanted one.
func (f Found) is(wanted string) bool {
	return strings.EqualFold(f.Address, wanted) || strings.Contains(strings.ToLower(f.Name), strings.ToLower(wanted))
}

// nothing is the error of a pod that was not found.
func nothing(wanted string, others []Found) error {
	const wake = "pods sleep until they are moved: take some steps and try again"
	if wanted == "" {
		return fmt.Errorf("no foot pod was found in %.0f s; %s", lookFor.Seconds(), wake)
	}
	if len(others) == 0 {
		return fmt.Errorf("the foot pod %q was not found in %.0f s, nor any other; %s", wanted, lookFor.Seconds(), wake)
	}
	var names []string
	for _, f := range others {
		names = append(names, f.String())
	}
	return fmt.Errorf("the foot pod %q was not found in %.0f s, but %s; %s", wanted, lookFor.Seconds(), strings.Join(names, ", "), wake)
}

// run listens until ctx is done, and looks for the pod whenever it was lost.
func (p *Pod) run(ctx context.Context) {
	defer close(p.done)
	lost := false
	for {
		err := p.radio.Listen(ctx, p.found, func() {
			if lost {
				p.tell("it is back")
			}
			lost = false
		}, p.push)
		if ctx.Err() != nil {
			return
		}
		if !lost {
			p.tell(fmt.Sprintf("it is lost (%s); the walk goes on without it and looks for it", reason(err)))
		}
		lost = true
		if !p.await(ctx) {
			return
		}
	}
}

func reason(err error) string {
	if err == nil {
		return "no reason given"
	}
	return oneLine(err.Error())
}

// await waits until the pod is seen again; false when ctx is done.
func (p *Pod) await(ctx context.Context) bool {
	for {
		select {
		case <-ctx.Done():
			return false
		case <-time.After(again):
		}
		if f, _, err := look(ctx, p.radio, p.found.Address, scanRound); err == nil && f != nil {
			return true
		}
	}
}

// Name is what the pod is called in messages.
func (p *Pod) Name() string { return "foot pod " + p.found.String() }

// Next returns the next packet, which is the caller's; false when none has come.
func (p *Pod) Next() ([]byte, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.packets) == 0 {
		return nil, false
	}
	b := p.packets[0]
	p.packets = p.packets[1:]
	return b, true
}

// Ready gets a value when packets have come since one was last received from it.
func (p *Pod) Ready() <-chan struct{} { return p.ready }

// Trouble is what has gone wrong, or has come right again, in one line; "" when
// there is nothing more to tell.
func (p *Pod) Trouble() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.trouble) == 0 {
		return ""
	}
	what := p.trouble[0]
	p.trouble = p.trouble[1:]
	return what
}

// Close lets go of the pod and of the radio.
func (p *Pod) Close() error {
	p.stop()
	<-p.done
	return p.radio.Close()
}

func (p *Pod) push(packet []byte) {
	p.mu.Lock()
	if len(p.packets) == mostKept {
		p.packets = p.packets[1:]
	}
	p.packets = append(p.packets, append([]byte(nil), packet...))
	p.mu.Unlock()
	select {
	case p.ready <- struct{}{}:
	default:
	}
}

func (p *Pod) tell(what string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.trouble) < 32 {
		p.trouble = append(p.trouble, p.Name()+": "+what)
	}
}
