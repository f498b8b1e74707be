package trial

import (
	"fmt"

	"steadfoot/detect"
	"steadfoot/detect/made"
)

// HearMotion runs the motion detector over the rows of an accelerometer. A row
// that it refuses is an error.
func HearMotion(rows []made.Row) (Heard, error) {
	d, err := detect.NewMotion(detect.MotionConfig{})
	if err != nil {
		return Heard{}, err
	}
	var h Heard
	var events []detect.Event
	last := 0.0
	for _, r := range rows {
		if events, err = d.Feed(events[:0], r.T, r.X, r.Y, r.Z); err != nil {
			return Heard{}, err
		}
		last = r.T
		h.add(events, last)
	}
	h.add(d.Flush(events[:0]), last)
	return h, nil
}

// MotionCase is one walk felt by an accelerometer.
type MotionCase struct {
	Name string
	Spec made.MotionSpec
}

// Motion are steady walks of a minute at places on the body, at rates from 25 to
// 200 rows a second; some with stamps that jitter and a tenth of the rows
// missing.
func Motion() []MotionCase {
	var cases []MotionCase
	for i, place := range []made.Place{made.Waist, made.Pocket, made.Wrist, made.Armband} {
		for k, rate := range []float64{25, 50, 100, 200} {
			cadence := []float64{104, 118, 150, 186}[(i+k)%4]
			s := made.MotionSpec{
				Seed: uint64(10*i + k), Rate: rate, Duration: 60, Place: place, Turning: 0.3,
				Gait: made.Gait{Cadence: made.Steady(cadence), JitterCV: 2, LongRange: 0.3, Unevenness: 2, Start: 3},
			}
			name := fmt.Sprintf("%s at %g Hz, %g steps/min", placeName(place), rate, cadence)
			cases = append(cases, MotionCase{name, s})
			if rate <= 50 {
				s.TimeJitter, s.Dropped = 0.003, 0.1
				cases = append(cases, MotionCase{name + ", jitter and 10 % missing", s})
			}
		}
	}
	return cases
}

// Idle are minutes without a walk: a sensor at rest, and one at the wrist while
// the hands do other things.
func Idle() []MotionCase {
	cases := []MotionCase{{"at rest", made.MotionSpec{Seed: 1, Duration: 60}}}
	for i, share := range []float64{0.2, 0.5, 0.8} {
		for k, rate := range []float64{25, 100} {
			s := made.MotionSpec{Seed: uint64(40 + 2*i + k), Rate: rate, Duration: 120, Place: made.Wrist, Gestures: share}
			cases = append(cases, MotionCase{fmt.Sprintf("hands moving %.0f %% of the time, %g Hz", 100*share, rate), s})
		}
	}
	return cases
}

// Repeating are minutes of hands that stir, wipe or rub: a quarter of what they
// do is three to eight strokes in a row. At the rate of steps a wrist cannot tell even strokes
// from a slow walk, so what is found here is told, and no bar is set.
func Repeating() []MotionCase {
	var cases []MotionCase
	for i, share := range []float64{0.2, 0.5, 0.8} {
		for k, rate := range []float64{25, 100} {
			s := made.MotionSpec{Seed: uint64(60 + 2*i + k), Rate: rate, Duration: 120, Place: made.Wrist, Gestures: share, Repeats: 0.25}
			cases = append(cases, MotionCase{fmt.Sprintf("hands repeating, moving %.0f %% of the time, %g Hz", 100*share, rate), s})
		}
	}
	return cases
}

func placeName(p made.Place) string {
	return [...]string{made.Waist: "waist", made.Pocket: "pocket", made.Wrist: "wrist", made.Armband: "armband"}[p]
}
