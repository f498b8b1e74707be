package sim

// Fatigue shortens the step first and slows the cadence later, as in 20 km
// races (Hanley, Bissas and Drake 2011). How soon and how much in a hard walk of
// 20 minutes is the project's choice.
type Fatigue struct {
	ShortensAt float64 // s, when the step begins to shorten
	Shortens   float64 // %/min from then on
	SlowsAt    float64 // s, when the preferred cadence begins to fall; after ShortensAt
	Slows      float64 // %/min from then on
}

// left returns what is left at t of the step length and of the preferred
// cadence, relative to the fresh walker.
func (f Fatigue) left(t float64) (length, cadence float64) {
	return falling(t, f.ShortensAt, f.Shortens), falling(t, f.SlowsAt, f.Slows)
}

func falling(t, from, rate float64) float64 {
	return max(0.5, 1-max(0, t-from)/60*rate/100)
}
