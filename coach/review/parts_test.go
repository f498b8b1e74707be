package review

import (
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// TestParts: two reps with a rest of free walking between; the band is judged by
// the target that held, and not in the rest.
func TestParts(t *testing.T) {
	events := []event.Event{event.Mark{Name: event.MarkStart}}
	for i := 0; i <= 360; i++ { // 180 s
		now := float64(i) / 2
		switch now {
		case 0:
			events = append(events, event.Part{T: 0, N: 1, Role: event.RoleRep, Label: "hips", Set: 1, Rep: 1, Of: 2}, event.Target{T: 0, Cadence: 190, Low: 186, High: 194})
		case 60:
			events = append(events, event.Part{T: 60, N: 2, Role: event.RoleRecovery, Distance: 200}, event.Target{T: 60})
		case 120:
			events = append(events, event.Part{T: 120, N: 3, Role: event.RoleRep, Set: 1, Rep: 2, Of: 2, Distance: 350}, event.Target{T: 120, Cadence: 200, Low: 196, High: 204}, event.Cue{T: 150, Name: event.CueQuicken})
		}
		cadence := 190.0
		if now > 60 && now <= 120 {
			cadence = 150
		}
		events = append(events, event.Rhythm{Rhythm: detect.Rhythm{T: now, State: detect.Walking, Cadence: cadence}, Distance: 3 * now})
	}
	events = append(events, event.Mark{T: 180, Name: event.MarkEnd})
	s := Analyse(logbook.Header{}, events)
	if len(s.Parts) != 3 || s.Band == nil {
		t.Fatalf("%+v", s.Parts)
	}
	for i, want := range []Part{
		{Time: 60, Walked: 200, Cadence: 190, In: 1, Aimed: true},
		{Time: 60, Walked: 150, Cadence: 150},
		{Time: 60, Walked: 190, Cadence: 190, Aimed: true, Cues: 1},
	} {
		p := s.Parts[i]
		if p.Time != want.Time || p.Walked != want.Walked || about(p.Cadence, want.Cadence, 0.5) != nil || about(p.In, want.In, 0.02) != nil || p.Aimed != want.Aimed || p.Cues != want.Cues {
			t.Errorf("part %d: %+v", i, p)
		}
	}
	if about(s.Band.In, 0.5, 0.01) != nil || about(s.Band.Below, 0.5, 0.01) != nil || about(s.Band.Aimed, 120, 1) != nil || s.Band.Target != 0 {
		t.Errorf("band %+v", *s.Band)
	}
	var b strings.Builder
	printParts(&b, s.Parts)
	for _, want := range []string{"rep 1 of 2, hips", "recovery", "100 %"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
}
