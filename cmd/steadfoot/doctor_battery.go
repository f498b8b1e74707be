package main

import (
	"context"

	"steadfoot/cmd/steadfoot/power"
)

// checkBattery looks at how long the machine will last.
func checkBattery(context.Context, *checkup) []finding {
	s, ok := power.Read(power.System())
	return []finding{judgeBattery(s, ok)}
}

// judgeBattery is given the battery's state; not ok where there is none.
func judgeBattery(s power.State, ok bool) finding {
	switch {
	case !ok:
		return okay("there is none, or the system does not tell")
	case !s.Discharging:
		return okay("%v, and the machine does not live on it", s)
	case s.Level == power.Critical:
		return warn("plug the machine in now", "%v", s)
	case s.Level == power.Low:
		return warn("plug the machine in before the walk", "%v", s)
	}
	return okay("%v", s)
}
