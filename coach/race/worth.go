package race

// Worth is what a change is worth over the race, everything else equal.
type Worth struct {
	Seconds float64 // gained over the distance, s
	Metres  float64 // walked more in the same time, m
}

// LengthWorth is what steps longer by change (m) are worth at the same cadence.
func (g Goal) LengthWorth(change float64) Worth {
	return g.worth((g.StepLength + change) / g.StepLength)
}

// CadenceWorth is what change more steps a minute are worth at the same step
// length.
func (g Goal) CadenceWorth(change float64) Worth {
	return g.worth((g.Cadence + change) / g.Cadence)
}

// worth of a speed that is ratio times as high.
func (g Goal) worth(ratio float64) Worth {
	return Worth{Seconds: g.Time() * (1 - 1/ratio), Metres: g.Distance * (ratio - 1)}
}
