package main

import (
	"fmt"
	"sync"
	"time"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/logbook"
)

// Bounds of what a leader stores, far beyond what people walk, so that nobody who has
// the word fills the disk. An event takes some 21 bytes (BenchmarkStoreWalks).
const (
	mostOfWalk    = 500_000     // events of one walk: more than a day
	mostOfLead    = 100_000_000 // of all: 2,000 walkers for three hours
	mostUnstored  = 2_000_000   // that wait for a disk that is full
	mostUntaken   = 500_000     // that wait for this program
	walksPerPlace = 4           // walks for each place in the group
)

const (
	// storeEvery is the time between two looks at the groups: much less than the
	// time by which a change is known before.
	storeEvery = 250 * time.Millisecond
	// storeAgain is how long a store that could not be opened is left alone, s.
	storeAgain = 30.0
	// awayFor is how long a walker may be away and go on in the same walk, s: as
	// long as a member keeps the steps it could not send.
	awayFor = 600.0
	// hereFor is how long after the last news a walker counts as with the group, s:
	// as long as a hub waits for a word.
	hereFor = 30.0
)

// walkStore keeps the walks of those who agreed, each a session of its own in the
// leader's store. It is told by many goroutines and works in one.
type walkStore struct {
	path   string
	length float64 // step length the group is reckoned with, m; 0: not known
	places int     // how many walkers may be in the group
	src    group.Source
	say    func(string)
	wall   func() time.Time

	mu     sync.Mutex
	news   []toldOf // not taken up yet
	untold int      // events in news
	missed bool     // there was no room for some
	torn   int      // walks that could not be stored to their end
	why    error    // the first of them

	store  *logbook.Store
	again  float64                // no other try to open it before, s of group time
	walks  map[string]*storedWalk // by Walker.ID
	begun  int
	events int             // of all walks
	full   bool            // a bound was reached: nothing more is stored
	said   map[string]bool // troubles that were told
	ending sync.WaitGroup
	first  int64 // numbers of the walks
	last   int64
}

// toldOf is what was told of a walker.
type toldOf struct {
	group.Walker
	events []event.Event // in group time; none: the walker no longer agrees
}

func newWalkStore(path string, o leadOptions, src group.Source, say func(string)) *walkStore {
	places := o.most
	if places == 0 {
		places = group.MaxMembers
	}
	return &walkStore{path: path, length: o.length, places: places, src: src, say: say, wall: time.Now,
		walks: map[string]*storedWalk{}, said: map[string]bool{}}
}

// told is for hub.Options.Stored.
func (s *walkStore) told(w group.Walker, events []event.Event) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.untold+len(events) > mostUntaken {
		s.missed = true
		return
	}
	s.news = append(s.news, toldOf{w, events})
	s.untold += len(events)
}

// run stores until quit is closed, then ends all walks and closes done.
func (s *walkStore) run(quit <-chan struct{}, done chan<- struct{}) {
	defer close(done)
	tick := time.NewTicker(storeEvery)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			s.tick()
		case <-quit:
			s.end()
			return
		}
	}
}

// tick takes up what was told, and what the leader of the groups wants by now.
func (s *walkStore) tick() {
	s.mu.Lock()
	news, missed := s.news, s.missed
	s.news, s.untold, s.missed = nil, 0, false
	s.mu.Unlock()
	if missed {
		s.trouble("missed", "This machine does not keep up with storing the walks; some steps are not in them.")
	}
	if len(s.walks) == 0 && len(news) == 0 {
		return
	}
	s.bound()
	now := s.src.Now()
	maps := s.src.Maps()
	for _, w := range s.walks {
		w.follow(maps, now)
	}
	for _, n := range news {
		s.take(n, maps, now)
	}
	for id, w := range s.walks {
		switch {
		case now-w.heard > awayFor:
			s.finish(id)
		case w.log.Err() != nil:
			s.trouble("disk", fmt.Sprintf("The walks cannot be stored: %v. The group goes on; what is not stored is kept in memory and tried again.", w.log.Err()))
		}
	}
}

// take takes up what was told of one walker.
func (s *walkStore) take(n toldOf, maps []group.Map, now float64) {
	w := s.walks[n.ID]
	if len(n.events) == 0 {
		if w != nil {
			w.note("the walker no longer agrees that the walk is stored")
			s.say(fmt.Sprintf("%s no longer agrees that the walk is stored; nothing more is. Until then it is walk %d; 'steadfoot log delete %d' deletes it.", n.Name, w.log.ID(), w.log.ID()))
			s.finish(n.ID)
		}
		return
	}
	if w != nil && w.name != n.Name {
		s.finish(n.ID) // whoever walks on under another name is another walk
		w = nil
	}
	if w == nil {
		if w = s.begin(n, maps, now); w == nil {
			return
		}
		s.walks[n.ID] = w
	}
	was := w.events
	w.take(n, now)
	s.events += w.events - was
	if w.events > mostOfWalk && !w.over {
		w.over = true
		s.say(fmt.Sprintf("%s: walk %d is as long as a walk may be; no more of it is stored.", n.Name, w.log.ID()))
	}
}

// begin begins the walk of one who is heard; nil when it cannot be stored, or when
// there is nothing yet to be.
func (s *walkStore) begin(n toldOf, maps []group.Map, now float64) *storedWalk {
	if n.Last.Hears == group.HearsNothing && n.events[0].Kind() != "step" || s.full || now < s.again {
		return nil
	}
	if s.begun >= walksPerPlace*s.places {
		s.trouble("walks", fmt.Sprintf("%d walks were stored, more than there are places in the group; no other is begun.", s.begun))
		return nil
	}
	var err error
	if s.store == nil {
		s.store, err = logbook.Open(s.path)
	}
	var w *storedWalk
	if err == nil {
		w, err = beginWalk(s, n, maps, now)
	}
	if err != nil {
		s.again = now + storeAgain
		s.trouble("disk", fmt.Sprintf("The walks cannot be stored: %v. The group goes on; it is tried again.", err))
		return nil
	}
	s.begun++
	if s.first == 0 {
		s.first = w.log.ID()
	}
	s.last = w.log.ID()
	return w
}

// trouble tells something once.
func (s *walkStore) trouble(what, words string) {
	if !s.said[what] {
		s.said[what] = true
		s.say(oneLine(words))
	}
}

// bound ends storing when there is too much of it.
func (s *walkStore) bound() {
	if s.full || len(s.walks) == 0 {
		return
	}
	waiting := 0
	if s.said["disk"] {
		for _, w := range s.walks {
			waiting += w.log.Waiting()
		}
	}
	if s.events < mostOfLead && waiting < mostUnstored {
		return
	}
	s.full = true
	for _, w := range s.walks {
		w.over = true
	}
	s.trouble("full", "So much was told of the walkers that no more of it is stored; the group goes on.")
}

// finish ends a walk. The disk is waited for elsewhere.
func (s *walkStore) finish(id string) {
	w := s.walks[id]
	delete(s.walks, id)
	w.end()
	s.ending.Go(func() {
		if err := w.log.End(); err != nil {
			s.mu.Lock()
			defer s.mu.Unlock()
			if s.torn++; s.why == nil {
				s.why = err
			}
		}
	})
}

// end ends all walks, in some seconds at most, and says where they are.
func (s *walkStore) end() {
	s.tick()
	for id := range s.walks {
		s.finish(id)
	}
	s.ending.Wait()
	if s.store == nil {
		return
	}
	err := s.store.Close() // tries again what could not be stored
	if s.torn > 0 && err != nil {
		s.say(oneLine(fmt.Sprintf("Not stored to the end: %d of the walks; %v", s.torn, s.why)))
	} else if err != nil {
		s.say(oneLine(err.Error()))
	}
	switch s.begun {
	case 0:
	case 1:
		s.say(fmt.Sprintf("The walk of one who agreed is number %d in %s; 'steadfoot review %d' shows it.", s.first, s.path, s.first))
	default:
		s.say(fmt.Sprintf("%d walks of those who agreed are stored in %s, the first is number %d and the last %d; 'steadfoot review %d' shows one.", s.begun, s.path, s.first, s.last, s.last))
	}
}
