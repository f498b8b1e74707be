package spare

import (
	"context"
	"errors"
	"slices"
	"sync"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/member"
)

// askTime is how long other hubs have to answer.
const askTime = time.Second

// answer is what another hub shows.
type answer struct {
	at      string
	board   group.Board
	there   bool // it has answered
	refused bool // it has another key
	rests   bool // it looks at no keys for a while
}

// address is where that hub is by its own word.
func (a answer) address() string {
	if a.board.Address != "" {
		return a.board.Address
	}
	return a.at
}

// ask looks at the boards of other hubs, all at once, and returns what came. A term
// above 0 tells them that this one leads by it. A hub that has another key is left
// alone from then on.
func (s *Source) ask(ctx context.Context, hubs []string, term int) []answer {
	ctx, cancel := context.WithTimeout(ctx, askTime)
	defer cancel()
	hubs = s.awake(hubs)
	all := make([]answer, len(hubs))
	var wait sync.WaitGroup
	for i, at := range hubs {
		wait.Go(func() { all[i] = s.askOne(ctx, at, term) })
	}
	wait.Wait()
	for _, a := range all {
		switch {
		case a.refused:
			s.forget(a.at)
		case a.rests: // trying on would only make that longer
			s.mu.Lock()
			s.rest[a.at] = s.o.Clock() + again
			s.mu.Unlock()
		}
	}
	return slices.DeleteFunc(all, func(a answer) bool { return !a.there })
}

func (s *Source) askOne(ctx context.Context, at string, term int) answer {
	a := answer{at: at}
	shown := make(chan group.Board, 1)
	o := member.Options{Addresses: []string{at}, Key: s.o.Key, Term: term, Once: true, Clock: s.o.Clock, Got: func(message any) {
		if b, ok := message.(group.Board); ok {
			select {
			case shown <- b:
			default:
			}
		}
	}}
	if term > 0 {
		o.Spare = s.o.Address
	}
	ctx, cancel := context.WithCancel(ctx)
	m, err := member.Join(ctx, o)
	if err != nil { // no address; another hub told it
		cancel()
		a.refused = true
		return a
	}
	select {
	case a.board = <-shown:
		a.there = true
	case <-m.Done():
		if no := (*member.Refused)(nil); errors.As(m.Err(), &no) {
			a.refused = no.Code == group.SorryWord || no.Code == group.SorryVersion
			a.rests = no.Code == group.SorryRate
		}
	case <-ctx.Done():
	}
	cancel()
	<-m.Done()
	return a
}

// awake leaves out the hubs that do not look at keys for a while.
func (s *Source) awake(hubs []string) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.o.Clock()
	return slices.DeleteFunc(slices.Clone(hubs), func(a string) bool { return s.rest[a] > now })
}
