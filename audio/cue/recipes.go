package cue

// What is heard outdoors, through one small earbud, by ears of any age.
//
// Wind and tread rumble are strongest under about 500 Hz and small speakers
// fade there too; ears lose the range above about 4 kHz first with age; hearing
// is keenest at 2-5 kHz, and ISO 7731 puts danger signals at 500-2500 Hz (these
// from memory). So every sound has at least two partials between 1 and 3.1 kHz:
// when one is masked by a gust or missing in an earbud, the other remains.
//
// No meaning rests on a side: both ears get every sound, and the feet differ by
// pitch first. No meaning rests on loudness or on absolute pitch either. Cues
// differ in number and length of notes, direction, rhythm and roughness. That they do is
// measured in the tests; that walkers tell them apart outdoors is not.
//
// The roughness of Lost, Back and the faults is amplitude modulation at 70 Hz, about where
// the ear finds a tone roughest (from memory).

// Clicks are woodblock-like: two partials in a ratio that is no simple fraction,
// so that they never blend into the cues, which are harmonic. The 0.5 ms attack
// is sharp to the ear but spreads little energy above 4 kHz. They last
// 20 ms, the long end of what reads as one point in time (5-20 ms, common
// practice, no source), for the most energy against wind under the same peak.
func click(freq float64) []note {
	return []note{{
		length: 0.020, freq: freq, timbre: []partial{{1, 1, 0}, {1.83, 0.8, 0}},
		attack: 0.0005, release: 0.008, decay: 0.008,
	}}
}

// farEar is the gain of a click in the ear away from its foot: 3 dB down is
// heard as a side, yet either ear alone still has both feet.
const farEar = 0.7079

// The phases keep the peaks low, so that the tones can be louder under the same
// ceiling; found by random search in steps of 1/20 turn.
var (
	clean = []partial{{1, 1, 0}, {2, 0.6, 0.2}, {3, 0.3, 0.95}}
	harsh = []partial{{1, 0.6, 0}, {2, 1, 0.5}, {3, 0.8, 0.35}, {4, 0.5, 0.55}, {5, 0.3, 0.05}}
)

// tone is a clear note with soft edges: no click of its own to take for a beat.
func tone(start, length, freq float64) note {
	return note{start: start, length: length, freq: freq, timbre: clean, attack: 0.008, release: 0.03}
}

func buzz(start, length, freq float64) note {
	return note{start: start, length: length, freq: freq, timbre: harsh, attack: 0.004, release: 0.02, rough: 70}
}

// recipe gives the notes of s. Cues take at most 1.4 s, but for the countdown.
func recipe(s Sound) []note {
	switch s {
	case ClickLeft:
		return click(1050)
	case ClickRight:
		return click(1575) // 3:2 above: told apart without a trained ear
	case Quicken: // up a fifth, the second note longer: it points there
		return []note{tone(0, 0.16, 784), tone(0.18, 0.24, 1176)}
	case Ease:
		return []note{tone(0, 0.16, 1176), tone(0.18, 0.24, 784)}
	case Settled:
		bell := tone(0, 0.5, 988)
		bell.decay = 0.25
		return []note{bell}
	case Hold:
		return []note{tone(0, 0.3, 988), tone(0.34, 0.3, 988)}
	case Fade: // each note lower, longer and later
		return []note{tone(0, 0.12, 1176), tone(0.18, 0.2, 988), tone(0.5, 0.3, 784)}
	case Uneven:
		return []note{tone(0, 0.09, 880), tone(0.11, 0.3, 880), tone(0.52, 0.09, 880), tone(0.63, 0.3, 880)}
	case Lost:
		return []note{buzz(0, 0.21, 587), buzz(0.29, 0.21, 587)}
	case Back: // the note of Lost, coming clear
		return []note{buzz(0, 0.14, 587), tone(0.14, 0.34, 587)}
	case Reminder:
		return []note{tone(0, 0.14, 1319)}
	}
	if notes := faultRecipe(s); notes != nil {
		return notes
	}
	return sessionRecipe(s)
}

// faultRecipe gives the notes of what is wrong with the machine, all of them
// rough; nil for other sounds.
func faultRecipe(s Sound) []note {
	switch s {
	case Fault:
		return []note{buzz(0, 0.16, 784), buzz(0.22, 0.16, 659), buzz(0.44, 0.16, 523)}
	case Muted: // a door that stays shut
		return []note{buzz(0, 0.12, 587), buzz(0.18, 0.12, 587), buzz(0.36, 0.12, 587), buzz(0.54, 0.12, 587)}
	case Quiet: // up, as more is wanted
		return []note{buzz(0, 0.21, 523), buzz(0.27, 0.28, 784)}
	case Loud:
		return []note{buzz(0, 0.21, 784), buzz(0.27, 0.28, 523)}
	case Wind: // a gust
		return []note{buzz(0, 0.18, 523), buzz(0.22, 0.24, 784), buzz(0.5, 0.18, 523)}
	case Battery: // running down
		return []note{buzz(0, 0.12, 880), buzz(0.18, 0.12, 740), buzz(0.36, 0.12, 622), buzz(0.54, 0.12, 523)}
	}
	return nil
}

// sessionRecipe gives the notes of the signals that structure a session.
func sessionRecipe(s Sound) []note {
	switch s {
	case Start:
		return []note{tone(0, 0.09, 1047), tone(0.18, 0.09, 1047), tone(0.36, 0.36, 1047)}
	case End:
		return []note{tone(0, 0.2, 698), tone(0.28, 0.2, 698), tone(0.56, 0.2, 698)}
	case Countdown:
		return []note{tone(0, 0.12, 880), tone(1, 0.12, 880), tone(2, 0.12, 880)}
	case RepStart:
		return []note{tone(0, 0.6, 1319)}
	case HalfWay:
		return []note{tone(0, 0.2, 784), tone(0.22, 0.2, 1047), tone(0.44, 0.2, 784)}
	case LastPart:
		return []note{tone(0, 0.1, 784), tone(0.12, 0.1, 988), tone(0.24, 0.1, 1319)}
	case RepEnd:
		return []note{tone(0, 0.09, 1047), tone(0.14, 0.09, 1047), tone(0.28, 0.09, 1047), tone(0.42, 0.4, 698)}
	case Recovered:
		return []note{tone(0, 0.09, 784), tone(0.14, 0.09, 784), tone(0.28, 0.09, 784), tone(0.42, 0.4, 1176)}
	case Paused:
		return []note{tone(0, 0.12, 1176), tone(0.14, 0.2, 784), tone(0.44, 0.12, 1176), tone(0.58, 0.2, 784)}
	case Resumed:
		return []note{tone(0, 0.12, 784), tone(0.14, 0.2, 1176), tone(0.44, 0.12, 784), tone(0.58, 0.2, 1176)}
	default: // Lap
		return []note{tone(0, 0.1, 1319), tone(0.16, 0.1, 1319)}
	}
}
