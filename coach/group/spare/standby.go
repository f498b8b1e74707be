package spare

import (
	"context"
	"errors"
	"fmt"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/member"
)

// waiting is what a spare remembers between two looks.
type waiting struct {
	ready  bool            // the groups are known
	told   bool            // that was told
	word   bool            // the leader's word was compared
	moved  float64         // when it moved to a leader that another hub named, s
	retry  float64         // no sooner is a leader that refused asked again, s
	failed string          // why taking over failed
	next   float64         // no sooner is it tried again, s
	mine   []group.Command // taken here before another hub led, to be compared
	term   int             // of mine
}

// standBy follows until this hub leads. The error is why it can never do so.
func (s *Source) standBy(ctx context.Context) error {
	w := waiting{moved: s.o.Clock() - moveEvery}
	s.mu.Lock()
	if s.was != nil {
		w.term, w.mine = s.was.Past()
	}
	s.mu.Unlock()
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case order := <-s.orders:
			order(ctx)
		case <-tick.C:
		case <-ctx.Done():
			return nil
		}
		s.mu.Lock()
		up := s.up
		s.mu.Unlock()
		if up == nil || ctx.Err() != nil {
			return nil
		}
		if err := s.look(ctx, up, &w); err != nil {
			return err
		}
	}
}

// look looks at what is known of the leader, and does what that asks for.
func (s *Source) look(ctx context.Context, up *upstream, w *waiting) error {
	if ready := up.ready(); ready != w.ready {
		if w.ready = ready; ready && !w.told {
			w.told = true
			s.o.Tell(fmt.Sprintf("standing by: the groups and their clock are known; this hub leads when the leader has been silent for %g s, or when you type: take over", s.o.Silence))
		}
		up.mu.Lock()
		up.wake()
		up.mu.Unlock()
	}
	k, inside := up.look()
	s.meet(k.leader)
	for _, m := range k.maps {
		s.meet(m.Spares...)
	}
	s.mu.Lock()
	s.admit(k.hosts...)
	back := s.away && up.link.Connected()
	s.away = s.away && !back
	s.mu.Unlock()
	if back {
		s.o.Tell("connected again")
	}
	if err := s.secrets(ctx, up, k, inside, w); err != nil {
		return err
	}
	if w.mine != nil && k.of == k.term && k.of > w.term {
		for _, c := range lost(w.mine, k.past) {
			s.o.Tell(fmt.Sprintf("%q was done here while the other hub led already; it does not hold", c.Do))
		}
		w.mine = nil
	}
	now := s.o.Clock()
	if !k.leads && k.leader != "" && k.leader != s.o.Address && k.leader != k.at && now-k.heard < 2 && now > w.moved+moveEvery {
		w.moved = now
		s.move(ctx, up, k)
		return nil
	}
	s.perhaps(ctx, up, w)
	return nil
}

// secrets deals with a leader that refuses this hub, or has another word of entry.
// At first that is an error; later on the group is one that was known.
func (s *Source) secrets(ctx context.Context, up *upstream, k known, inside bool, w *waiting) error {
	if k.word != "" && !w.word {
		w.word = true
		switch other := k.word != s.o.Word; {
		case other && s.first:
			return fmt.Errorf("the leader at %s has another word of entry: walkers could not come here; give --word as lead prints it", group.HostOf(s.o.Of))
		case other:
			s.o.Tell("the leader has another word of entry by now: its walkers cannot come here")
		}
		s.first = false
	}
	select {
	case <-up.link.Done():
	default:
		return nil
	}
	err := up.link.Err()
	if no := (*member.Refused)(nil); !inside && errors.As(err, &no) {
		return fmt.Errorf("the leader at %s does not take this hub as its spare: %w", group.HostOf(s.o.Of), err)
	}
	switch now := s.o.Clock(); {
	case w.retry == 0:
		s.o.Tell(fmt.Sprintf("the leader refuses this hub by now: %v", err))
		w.retry = now + again
	case now > w.retry:
		w.retry = now + again
		s.move(ctx, up, k)
	}
	return nil
}

// perhaps takes over when it is this hub's turn and no other one leads.
func (s *Source) perhaps(ctx context.Context, up *upstream, w *waiting) {
	k, _ := up.look()
	var spares []string
	if len(k.maps) > 0 {
		spares = k.maps[0].Spares
	}
	due := turn(s.o.Silence, s.o.Address, spares)
	if now := s.o.Clock(); now-k.heard < due || now < w.next || !s.can(up) {
		return
	}
	w.next = s.o.Clock() + 1
	for _, a := range s.ask(ctx, s.addresses(""), 0) {
		term := termOf(a.board.Groups)
		switch {
		case term < k.term:
		case a.board.Leads && (a.address() != k.leader || term > k.term):
			k.term, k.leader, k.heard = term, a.address(), s.o.Clock()
			s.move(ctx, up, k)
			return
		case a.board.Leads:
			up.hear(s.o.Clock())
		case a.board.Leader != "":
			up.hear(s.o.Clock() - a.board.Silent)
		}
	}
	k, _ = up.look()
	silent := s.o.Clock() - k.heard
	if silent < due || ctx.Err() != nil {
		return
	}
	if err := s.takeOver(up); err != nil {
		if text := err.Error(); text != w.failed {
			w.failed = text
			s.o.Tell("taking over failed: " + text)
		}
		return
	}
	s.o.Tell(fmt.Sprintf("the leader has been silent for %.0f s; this hub leads now", silent))
}

// can tells whether enough is known to lead.
func (s *Source) can(up *upstream) bool {
	k, _ := up.look()
	return len(k.past) > 0 && up.timed()
}

// takeOver leads from now on with what is known.
func (s *Source) takeOver(up *upstream) error {
	if !s.can(up) {
		return errNothing
	}
	k, _ := up.look()
	if err := s.conduct(k.term+1, up.group, k.past); err != nil {
		return err
	}
	up.cancel()
	up.mu.Lock()
	defer up.mu.Unlock()
	up.wake()
	return nil
}

// TakeOver has this hub lead at once, whatever the leader does; that one follows
// when it hears of it. The error is one line for a person.
func (s *Source) TakeOver(ctx context.Context) error {
	result := make(chan error, 1)
	if !s.order(func(context.Context) {
		s.mu.Lock()
		up := s.up
		s.mu.Unlock()
		if up == nil {
			result <- errors.New("this hub leads already")
			return
		}
		result <- s.takeOver(up)
	}) {
		return errors.New("too much happens at once; try again")
	}
	select {
	case err := <-result:
		return err
	case <-s.done:
		return errNothing
	case <-ctx.Done():
		return ctx.Err()
	}
}

// tellLink tells once that the leader cannot be reached.
func (s *Source) tellLink(line string) {
	s.mu.Lock()
	first := !s.away
	s.away = true
	s.mu.Unlock()
	if first {
		s.o.Tell(line + "; it is tried again and again")
	}
}
