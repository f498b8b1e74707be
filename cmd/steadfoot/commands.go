package main

// commands lists the verbs in the order a newcomer needs them.
func commands() []command {
	return []command{
		{"walk", "coach a walk by ear, and log it", runWalk, false},
		{"join", "walk with a group: the beat from its leader, coaching of your own", runJoin, false},
		{"demo", "make a walk, coach it, and show what it came to", runDemo, false},
		{"beat", "make the beat of a session into a sound or MIDI file", runBeat, false},
		{"lead", "lead a group: one beat for all, pages for phones and the coach", runLead, false},
		{"steps", "find every step in a recording", runSteps, false},
		{"target", "work out cadence, step length, pace and splits", runTarget, false},
		{"session", "check a session of reps, and print its splits and steps", runSession, false},
		{"measure", "measure a step length, and its line against cadence", runMeasure, false},
		{"compare", "tell what a drill, a week or the beat has changed", runCompare, false},
		{"review", "look back at a stored walk", runReview, false},
		{"cues", "list what you may hear, and write it as sound files", runCues, false},
		{"log", "find, note, tag, delete, merge and back up stored walks", runLog, false},
		{"export", "write a stored walk as CSV, JSON Lines or MIDI", runExport, false},
		{"import", "read an exported walk into the store", runImport, false},
		{"devices", "list microphones and earphones with rates and latencies", runDevices, false},
		{"latency", "measure how long sound takes to the ear", runLatency, false},
		{"doctor", "check sound, store, profile and machine; say what mends them", runDoctor, false},
		{"sound-process", "", runSoundProcess, true},
	}
}
