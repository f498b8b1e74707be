package hub

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"strings"

	"golang.org/x/time/rate"

	"steadfoot/coach/group"
)

// Steps of one walker: far more than anyone takes, and room for those of a few
// minutes that a member kept while the network was away.
const (
	stepsPerSecond = 6
	stepsAtOnce    = 1500
)

// walker is someone with a seat. The hub's lock guards it.
type walker struct {
	group.Walker
	seat    string  // secret
	asked   string  // the name that was asked for
	peer    *peer   // nil while away
	removed bool    // by the coach: the seat is not given back
	step    float64 // time of the newest step, s
	steps   *rate.Limiter
}

// seats has the walkers in the order they came. The hub's lock guards it.
type seats struct {
	most   int
	rows   []*walker
	bySeat map[string]*walker
	byID   map[string]*walker
	names  map[string]*walker // by lower-case name
}

func newSeats(most int) seats {
	return seats{
		most:   most,
		bySeat: map[string]*walker{},
		byID:   map[string]*walker{},
		names:  map[string]*walker{},
	}
}

// take gives a new walker a seat, or returns nil when all have someone in them.
func (s *seats) take(name string) *walker {
	if len(s.rows) >= s.most && !s.makeRoom() {
		return nil
	}
	w := &walker{seat: secret(16), steps: rate.NewLimiter(stepsPerSecond, stepsAtOnce)}
	for w.ID = secret(4); s.byID[w.ID] != nil; {
		w.ID = secret(4)
	}
	s.rows = append(s.rows, w)
	s.bySeat[w.seat], s.byID[w.ID] = w, w
	s.name(w, name)
	return w
}

// name gives w the name, with a number when another walker has it.
func (s *seats) name(w *walker, name string) {
	if w.asked == name {
		return
	}
	if w.Name != "" {
		delete(s.names, strings.ToLower(w.Name))
	}
	w.asked, w.Name = name, name
	for n := 2; s.names[strings.ToLower(w.Name)] != nil; n++ {
		tail := fmt.Sprintf(" %d", n)
		head := []rune(name)
		w.Name = strings.TrimRight(string(head[:min(len(head), group.MaxName-len(tail))]), " ") + tail
	}
	s.names[strings.ToLower(w.Name)] = w
}

// makeRoom drops the walker who has been away longest.
func (s *seats) makeRoom() bool {
	var gone *walker
	for _, w := range s.rows {
		if w.peer == nil && (gone == nil || w.Seen < gone.Seen) {
			gone = w
		}
	}
	if gone == nil {
		return false
	}
	s.drop(gone)
	return true
}

func (s *seats) drop(w *walker) {
	delete(s.bySeat, w.seat)
	delete(s.byID, w.ID)
	delete(s.names, strings.ToLower(w.Name))
	for i, other := range s.rows {
		if other == w {
			s.rows = append(s.rows[:i], s.rows[i+1:]...)
			break
		}
	}
}

// secret returns n random bytes in hex.
func secret(n int) string {
	b := make([]byte, n)
	rand.Read(b) // it never fails, see crypto/rand
	return hex.EncodeToString(b)
}
