package coach

import (
	"fmt"
	"strings"
	"testing"

	"steadfoot/coach/event"
)

// asked is a wish and when it comes in.
type asked struct {
	at   float64
	name string
	rank rank
	t    float64 // when it is wanted
	room float64 // for how long after that
}

// TestVoiceQueue puts wishes into a voice that is asked every half second.
func TestVoiceQueue(t *testing.T) {
	tests := []struct {
		name   string
		wishes []asked
		said   string
		unsaid string // the beginning of each, in order
	}{
		{"one by one, as they come",
			[]asked{{1, event.CueRepEnd, rankSession, 1, 5}, {1.5, event.CueLap, rankSession, 1.5, 5}},
			"1.25 rep end, 3.25 lap", ""},
		{"at its own time, between two ticks",
			[]asked{{1, event.CueHalfWay, rankSession, 3.4, 2}},
			"3.40 half way", ""},
		{"by rank",
			[]asked{{1, "posture", rankReminder, 1, 9}, {1, event.CueHalfWay, rankSession, 1, 9}, {1, event.CueFault, rankSafety, 1, 9}},
			"1.25 fault, 3.25 half way, 5.25 posture", ""},
		{"a line that would run into a signal waits",
			[]asked{{1, event.CueLastPart, rankSession, 4, 2}, {2, "posture", rankReminder, 2, 10}},
			"4.00 last part, 6.00 posture", ""},
		{"a line that fits before a signal is said",
			[]asked{{1, event.CueLastPart, rankSession, 4, 2}, {1, "posture", rankReminder, 1, 10}},
			"1.25 posture, 4.00 last part", ""},
		{"a long line needs its room",
			[]asked{{1, event.CueLastPart, rankSession, 4, 2}, {1, "arms", rankReminder, 1, 10}},
			"4.00 last part, 6.00 arms", ""},
		{"nothing runs into the countdown, and the start is at its end",
			[]asked{{1, event.CueCountdown, rankSession, 4.1, 0.1}, {3, event.CueFault, rankSafety, 3, 10}, {5, event.CueRepStart, rankSession, 7.1, 3}},
			"4.10 countdown, 7.10 rep start, 9.10 fault", ""},
		{"the countdown does not come late",
			[]asked{{1, event.CueRepEnd, rankSession, 1, 5}, {1.5, event.CueCountdown, rankSession, 2, 0.1}},
			"1.25 rep end", `countdown: "rep end" sounds until 3.25 s; it could not start after 2.10 s`},
		{"what has lost its meaning is not said",
			[]asked{{1, "arms", rankReminder, 1, 9}, {1, event.CueHalfWay, rankSession, 1, 2}, {1, "posture", rankReminder, 1.2, 1}},
			"1.25 half way, 3.25 arms", `posture: "half way" sounds until 3.25 s`},
		{"a wish that comes too late",
			[]asked{{5, event.CueLap, rankSession, 2, 3}},
			"", "lap: it could not start after 5.00 s"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := testSettings()
			s.Spans = map[string]float64{"reminder:arms": 4}
			v := newVoice(s)
			var said []string
			for now := 0.0; now < 20; now += 0.5 {
				for _, w := range tt.wishes {
					if w.at == now {
						v.want(w.wish())
					}
				}
				v.expire(now)
				for {
					c, ok := v.next(now+s.Policy.Lead, rankReminder)
					if !ok {
						break
					}
					v.say(nil, c)
					said = append(said, fmt.Sprintf("%.2f %s", c.T, strings.TrimPrefix(c.Name+c.Line, event.CueReminder)))
				}
			}
			if got := strings.Join(said, ", "); got != tt.said {
				t.Errorf("said %s\nwant %s", got, tt.said)
			}
			var unsaid string
			for _, u := range v.unsaid {
				unsaid += strings.TrimPrefix(u.Name, "reminder:") + ": " + u.Reason
			}
			if !strings.HasPrefix(unsaid, tt.unsaid) || (tt.unsaid == "") != (unsaid == "") {
				t.Errorf("unsaid %q, want %q", unsaid, tt.unsaid)
			}
		})
	}
}

func (a asked) wish() wish {
	w := wish{cue: event.Cue{T: a.t, Name: a.name}, rank: a.rank, until: a.t + a.room}
	if a.rank == rankReminder {
		w.cue.Name, w.cue.Line = event.CueReminder, a.name
	}
	return w
}

// TestUnsaidIsBounded: a walk of hours does not fill the memory.
func TestUnsaidIsBounded(t *testing.T) {
	var v voice
	for i := range 1000 {
		v.drop(float64(i), event.CueLap, "because")
	}
	if n := len(v.unsaid); n > keepUnsaid || v.unsaid[n-1].T != 999 {
		t.Errorf("%d are kept, the last of %v s", n, v.unsaid[n-1].T)
	}
}
