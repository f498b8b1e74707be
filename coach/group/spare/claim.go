package spare

// claim is a hub's word that it leads.
type claim struct {
	term    int
	address string
}

// verdict is what a hub that leads does when it hears of another one that does.
type verdict int

const (
	stays   verdict = iota // the other one has to move
	follows                //
	raises                 // its term, so that the other one follows
)

// against judges another's claim. Both sides come to fitting verdicts, whoever of
// them hears of the other first.
func (c claim) against(other claim) verdict {
	switch {
	case other.address == c.address || other.term < c.term:
		return stays
	case other.term > c.term:
		return follows
	case c.address < other.address:
		return raises
	}
	return stays
}

const (
	silence = 5.0 // s; see Options.Silence
	apart   = 3.0 // s between the turns of two spares
)

// turn is after how long a silence it is a spare's turn to lead, s, by the order in
// which the leader names the spares. One it does not name comes last.
func turn(silence float64, address string, spares []string) float64 {
	n := 0
	for n < len(spares) && spares[n] != address {
		n++
	}
	return silence + apart*float64(n)
}
