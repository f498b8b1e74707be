package group

import "steadfoot/coach/event"

// Version is that of the conversation. A hub refuses another one.
const Version = 1

// Limits of what may be sent. A message beyond them ends the connection.
const (
	MaxMessage = 4 << 10   // bytes of a member's message
	MaxCommand = 256 << 10 // bytes of a board's message; it may carry a session
	MaxName    = 40        // runes of a name of a walker or a group
	MaxSteps   = 40        // steps in one message
	MaxRows    = 300       // walkers in one message of a spare
	MaxMembers = 5000      // of one hub, unless it is told otherwise
	MaxGroups  = 32        //
)

// Kinds of messages.
const (
	// From a member.
	KindJoin   = "join"
	KindPing   = "ping"
	KindStatus = "status"
	KindSteps  = "steps"
	KindLeave  = "leave"
	// To a member.
	KindWelcome = "welcome"
	KindPong    = "pong"
	KindMap     = "map"
	KindSorry   = "sorry"
	// From a board.
	KindKey     = "key"
	KindCommand = "command"
	// To a board.
	KindBoard = "board"
	KindDone  = "done"
	// Between a leader and its spare.
	KindPast = "past"
	KindRows = "rows"
)

// Join asks to take part.
type Join struct {
	Kind    string `json:"kind"`
	Version int    `json:"version"`
	Word    string `json:"word"`            // the group's word of entry
	Name    string `json:"name"`            // of the walker
	Group   string `json:"group,omitempty"` // "" is the first one
	Seat    string `json:"seat,omitempty"`  // Welcome.Seat of an earlier time, to go on as the same walker
	// Agree tells that the walker agrees that steps and rhythm are stored with
	// the leader.
	Agree bool   `json:"agree,omitempty"`
	Way   string `json:"way,omitempty"` // "phone" or "program": how the walker takes part
}

// Welcome answers Join.
type Welcome struct {
	Kind   string   `json:"kind"`
	ID     string   `json:"id"`   // of the walker on the board
	Seat   string   `json:"seat"` // secret; see Join
	Name   string   `json:"name"` // as it is shown; another walker may have had the name
	Groups []string `json:"groups"`
	Map    Map      `json:"map"`
}

// Sorry is the hub's last word before it ends a connection, or what was wrong
// with a command.
type Sorry struct {
	Kind string `json:"kind"`
	Why  string `json:"why"`            // one line for a person, with what to do
	Code string `json:"code,omitempty"` // SorryWord and so on
}

// Codes of Sorry. After those that last, asking again is of no use.
const (
	SorryWord    = "word"    // the word, or the key, is not right; lasts
	SorryVersion = "version" // lasts
	SorryFull    = "full"    //
	SorryRate    = "rate"    // too much at once
	SorryBad     = "bad"     // a message that cannot be understood
	SorryRemoved = "removed" // by the coach; lasts
	SorryEnding  = "ending"  // the leader goes; look for a spare
	// SorryElsewhere: the walker has come back by another connection; lasts.
	SorryElsewhere = "elsewhere"
)

// Ping begins an exchange of the clock, Pong ends it (RFC 5905, section 8).
type Ping struct {
	Kind string  `json:"kind"`
	N    int     `json:"n"`
	T1   float64 `json:"t1"` // the member's clock when it was sent, s; comes back as it is
}

// Pong answers Ping.
type Pong struct {
	Kind string  `json:"kind"`
	N    int     `json:"n"`
	T1   float64 `json:"t1"`
	T2   float64 `json:"t2"` // group time when the ping came, s
	T3   float64 `json:"t3"` // group time when the pong went, s
	// Spread is how far the hub's own group time may be off, s: 0 where the
	// conductor is.
	Spread float64 `json:"spread,omitempty"`
}

// Changed carries a new map.
type Changed struct {
	Kind string `json:"kind"`
	Map  Map    `json:"map"`
}

// Steps carries the steps a member found, in group time.
type Steps struct {
	Kind  string       `json:"kind"`
	Steps []event.Step `json:"steps"`
}

// Leave ends a member's part in good order.
type Leave struct {
	Kind string `json:"kind"`
}

// Status is how a walker fares, by the member's own detector. What is not known
// is 0.
type Status struct {
	Kind    string  `json:"kind"`
	At      float64 `json:"at"`                // s
	Hears   string  `json:"hears"`             // HearsNothing and so on
	Cadence float64 `json:"cadence,omitempty"` // steps/min
	SD      float64 `json:"sd,omitempty"`      // standard error of Cadence, steps/min
	Pace    float64 `json:"pace,omitempty"`    // s/km
	Uneven  float64 `json:"uneven,omitempty"`  // symmetry index of the step times, %
	// Off is the mean time of the steps after the beat, ms, by the circular mean;
	// R its mean resultant length, 0 to 1; N how many steps they are of.
	Off     float64 `json:"off,omitempty"`
	R       float64 `json:"r,omitempty"`
	N       int     `json:"n,omitempty"`
	Fading  bool    `json:"fading,omitempty"`  // the member's coach sees the cadence sinking
	Clock   float64 `json:"clock,omitempty"`   // how far its group time may be off, ms; 0: not yet known
	Latency float64 `json:"latency,omitempty"` // of its sound output, ms
}

// What a member hears of its walker.
const (
	HearsNothing = "off"         // it does not listen
	HearsDeaf    = "cannot hear" //
	HearsStill   = "standing"    //
	HearsWalking = "walking"     //
)

// Key asks for the leader's rights.
type Key struct {
	Kind    string `json:"kind"`
	Version int    `json:"version"`
	Key     string `json:"key"`
	// Spare asks for the past as well, to take over one day; it is the address
	// where members find the spare, "" for a board.
	Spare string `json:"spare,omitempty"`
	// Term is that of a spare which leads: a leader of a lower one is to follow it.
	Term int `json:"term,omitempty"`
}

// Walker is a row of the board.
type Walker struct {
	ID     string  `json:"id"`
	Name   string  `json:"name"`
	Group  string  `json:"group"`
	Way    string  `json:"way,omitempty"`
	Here   bool    `json:"here"`           // connected
	Seen   float64 `json:"seen"`           // group time of the last message, s
	Agreed bool    `json:"agreed"`         // see Join.Agree
	Last   Status  `json:"last"`           // Last.Kind is empty
	Faded  float64 `json:"faded,omitzero"` // since when the cadence has been below the band or sinking, s; 0: it is not
	Hub    string  `json:"hub,omitempty"`  // another hub's name when the walker is there
}

// Board is what a board shows.
type Board struct {
	Kind    string   `json:"kind"`
	Now     float64  `json:"now"`    // s
	Spread  float64  `json:"spread"` // see Pong.Spread
	Leads   bool     `json:"leads"`  // this hub conducts; otherwise another one does
	Groups  []Map    `json:"groups"`
	Walkers []Walker `json:"walkers"`
	// For other hubs: where they and members find this one, the hosts its pages are
	// opened by, and of a hub that follows who leads and for how long that was not
	// heard, s.
	Address string   `json:"address,omitempty"`
	Hosts   []string `json:"hosts,omitempty"`
	Leader  string   `json:"leader,omitempty"`
	Silent  float64  `json:"silent,omitempty"`
}

// Done answers a command.
type Done struct {
	Kind string `json:"kind"`
	N    int    `json:"n"`
	Why  string `json:"why,omitempty"` // what was wrong; "" when it was done
}

// Past carries commands that a conductor has taken, for a spare. The first one of
// a connection or a term carries all.
type Past struct {
	Kind     string    `json:"kind"`
	Term     int       `json:"term"`
	From     int       `json:"from,omitempty"` // how many came before these
	Commands []Command `json:"commands"`
	Word     string    `json:"word,omitempty"` // of entry, which members will give the spare
}

// Rows carries a spare's own walkers to the leader's board, in pages from 0.
type Rows struct {
	Kind    string   `json:"kind"`
	Page    int      `json:"page"`
	Pages   int      `json:"pages"`
	Walkers []Walker `json:"walkers"`
}
