package main

// commands lists the verbs in the order a newcomer needs them.
func commands() []command {
	return []command{
		{"walk", "coach a walk by ear, and log it", runWalk, false},
		{"demo", "make a walk, coach it, and show what it came to", runDemo, false},
		{"steps", "find every step in a recording", runSteps, false},
		{"target", "work out cadence, step length, pace and splits", runTarget, false},
		{"review", "look back at a stored walk", runReview, false},
		{"devices", "list microphones and earphones with rates and latencies", runDevices, false},
		{"sound-process", "", runSoundProcess, true},
	}
}
