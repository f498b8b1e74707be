package screen

import (
	"math"
	"strings"
)

// made are walks in every state, by the name of their golden files.
func made() []struct {
	name string
	snap Snapshot
} {
	rep := Snapshot{
		Time: 754.6, Athlete: "Mira Tal", Label: "8 x 1 km", Distance: 2410,
		State: InBand, Cadence: 192.4, CadenceSD: 0.6, Target: 192, Low: 188, High: 196,
		Pace: 312, TargetPace: 310, Unevenness: 1.8,
		Part: Part{Role: "rep", Label: "1 km, smooth", Rep: 3, Of: 8, Length: 1000},
		Next: Part{Role: "recovery", Label: "easy walk", Length: 200}, Done: 0.58, Left: 420,
		Beat: Beat{On: true, Playing: true, Mode: "led to the target"}, Volume: 0.4,
		Said: "settled", SaidAt: 746, Heard: 0.94,
	}
	with := func(name string, change func(*Snapshot)) struct {
		name string
		snap Snapshot
	} {
		s := rep
		change(&s)
		return struct {
			name string
			snap Snapshot
		}{name, s}
	}
	long := strings.Repeat("Wilhelmina Featherstonehaugh-Cholmondeley ", 3)
	return []struct {
		name string
		snap Snapshot
	}{
		with("waiting", func(s *Snapshot) {
			*s = Snapshot{Athlete: "Jon Ash", Target: 180, Low: 176, High: 184, Beat: Beat{On: true, Mode: "steady"}, Volume: 0.5}
		}),
		with("listening", func(s *Snapshot) { s.State, s.CadenceSD, s.Heard = Listening, 4.2, 0.25 }),
		with("right", func(*Snapshot) {}),
		with("too-slow", func(s *Snapshot) {
			s.State, s.Cadence, s.Said, s.SaidAt, s.Pace = TooSlow, 185.6, "quicken", 747, 324
		}),
		with("too-quick", func(s *Snapshot) {
			s.State, s.Cadence, s.Said, s.SaidAt, s.Pace = TooQuick, 197.2, "ease", 753, 303
		}),
		with("far-too-quick", func(s *Snapshot) {
			s.State, s.Cadence, s.Said, s.SaidAt = TooQuick, 221, "ease", 700
			s.Beat.Playing = false
			s.Beat.Mode = "on demand"
		}),
		with("group", func(s *Snapshot) {
			s.Part = Part{Role: "rep", Rep: 3, Of: 8, Duration: 310}
			s.Left, s.Beat.Mode = 131, "of the group"
			s.Group = Group{Name: "seniors", Clock: 1.24, Off: -18.4, R: 0.94, Steps: 31}
		}),
		with("group-lost", func(s *Snapshot) {
			s.Paused, s.Group = true, Group{Name: "seniors", Lost: true, Paused: true, Clock: 38}
		}),
		with("standing", func(s *Snapshot) { s.State, s.Cadence, s.Heard, s.Pace = Standing, 0, 0, 0 }),
		with("cannot-hear", func(s *Snapshot) {
			s.State, s.Cadence, s.Heard, s.Pace = Deaf, 0, 0, 0
			s.Trouble = "the microphone gives silence"
			s.Said, s.SaidAt = "cannot hear", 751
		}),
		with("recovery", func(s *Snapshot) {
			s.State, s.Target, s.Low, s.High, s.TargetPace, s.Cadence, s.Pace = Free, 0, 0, 0, 0, 131, 552
			s.Part = Part{Role: "recovery", Label: "easy walk", Duration: 120}
			s.Next = Part{Role: "rep", Rep: 4, Of: 8, Length: 1000}
			s.Done, s.Left, s.Beat.Playing, s.Beat.On = 0.3, 84, false, false
		}),
		with("paused", func(s *Snapshot) { s.Paused = true; s.Beat.Playing = false }),
		with("fault", func(s *Snapshot) {
			s.Fault, s.FaultAt = "the sound device has gone; a new start in 2 s", 752
			s.Log = "the disk is full"
		}),
		with("no-plan", func(s *Snapshot) {
			s.Part, s.Next, s.Done, s.Left = Part{Role: "free"}, Part{}, 0, 0
			s.Time, s.Distance, s.Unevenness = 3754, 12345, -6.3
		}),
		with("long-names", func(s *Snapshot) {
			s.Athlete, s.Label, s.Part.Label, s.Fault, s.FaultAt = long, long, long, long, s.Time
			s.Part.Set, s.Part.Rep, s.Part.Of, s.Part.Length, s.Left = 12, 123, 456, 50000, 48765
		}),
		with("other-scripts", func(s *Snapshot) {
			s.Athlete, s.Label = "渡辺\tさくら\x1b[31m", "Žofie\u202e 👩‍👩‍👧"
		}),
		with("nonsense", func(s *Snapshot) {
			nan, inf := math.NaN(), math.Inf(1)
			*s = Snapshot{Time: nan, Distance: inf, State: 200, Cadence: -inf, CadenceSD: nan, Target: inf, Low: nan,
				High: -3, Pace: 1e300, TargetPace: nan, Part: Part{Role: "rep", Rep: -4, Length: inf, Duration: nan}, Done: nan,
				Left: -inf, Beat: Beat{Playing: true, Level: nan}, Volume: inf, SaidAt: nan, Heard: nan, Unevenness: nan}
		}),
		with("ended", func(s *Snapshot) { s.State, s.Beat.Playing = Ended, false }),
	}
}
