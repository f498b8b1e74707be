package sim

// Class says in one word how a walker takes to coaching.
type Class string

// The classes.
const (
	Responsive    Class = "responsive"     // hears, understands, does it
	Slow          Class = "slow"           // does it late and by half
	Inattentive   Class = "inattentive"    // is elsewhere for much of the time
	NotResponding Class = "not responding" // neither words nor beat change anything
)

// Classes are all classes, in the order of the tables.
var Classes = []Class{Responsive, Slow, Inattentive, NotResponding}

// Walker is one simulated walker. [Population] draws them.
type Walker struct {
	Seed   uint64 // of everything random in the walk
	Class  Class
	Over   bool    // answers words with far too much
	Target float64 // the cadence they are asked to walk, steps/min

	Gait      Gait
	Fatigue   Fatigue
	Effort    Effort
	Sync      Sync
	Attention Attention
	Answer    Answer
}
