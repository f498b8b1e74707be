package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"text/tabwriter"

	"steadfoot/audio"
	"steadfoot/audio/chirp"
	"steadfoot/audio/device"
)

// near is how far a try may be from the middle of all, in ms, to agree.
const near = 1.0

// latencyResult is what the tries come to. Times are in ms.
type latencyResult struct {
	Kind      string   `json:"kind"` // "latency"
	RoundTrip float64  `json:"round_trip_ms"`
	Samples   float64  `json:"round_trip_samples"`
	MAD       float64  `json:"mad_ms"`
	Min       float64  `json:"min_ms"`
	Max       float64  `json:"max_ms"`
	Tries     int      `json:"tries"`
	Found     int      `json:"tries_found"`
	Near      int      `json:"tries_near"` // within 1 ms of the median
	Agree     bool     `json:"agree"`
	Peak      float64  `json:"peak_db"` // of the middle one of the tries
	SNR       float64  `json:"snr_db"`
	Output    *between `json:"output_ms,omitempty"` // without the way in, where that is known

	Input        string  `json:"input"`
	Ear          string  `json:"output"`
	DriverInput  float64 `json:"driver_input_ms"` // a hint
	DriverOutput float64 `json:"driver_output_ms"`
}

// between is a value and between what it lies.
type between struct {
	Value float64 `json:"value"`
	From  float64 `json:"from"`
	To    float64 `json:"to"`
}

// wanted is what the user asked for: the way out alone, or the round trip.
func (r latencyResult) wanted() float64 {
	if r.Output != nil {
		return r.Output.Value
	}
	return r.RoundTrip
}

// doubt is why the result cannot be relied on, nil when it can.
func (r latencyResult) doubt() error {
	switch {
	case r.Agree:
		return nil
	case r.Found < leastTries:
		return fmt.Errorf("only %d of %d tries found the chirp, and %d are needed that agree; measure again, nearer and in more quiet", r.Found, r.Tries, leastTries)
	default:
		return fmt.Errorf("the tries disagree: %d of %d within %v ms of their middle, all from %.1f to %.1f ms; measure again, nearer and in more quiet",
			r.Near, r.Tries, near, r.Min, r.Max)
	}
}

// result sums up tries of which at least one was found.
func (o *latencyOptions) result(tries []attempt, s device.Stats) (latencyResult, error) {
	var ms, peak, snr []float64
	whole := 0 // tries in which the sound did not falter
	for _, a := range tries {
		if a.err != errFaltered {
			whole++
		}
		if a.err == nil {
			ms, peak, snr = append(ms, a.ms()), append(peak, a.Peak), append(snr, a.SNR)
		}
	}
	t := chirp.Summarise(ms, near)
	r := latencyResult{
		Kind: "latency", RoundTrip: round(t.Median, 1e3), Samples: round(t.Median*audio.Rate/1000, 10),
		MAD: round(t.MAD, 1e3), Min: round(t.Min, 1e3), Max: round(t.Max, 1e3),
		Tries: len(tries), Found: len(ms), Near: t.Near, Agree: t.Near >= leastTries && 4*t.Near >= 3*whole,
		Peak: round(chirp.Summarise(peak, 0).Median, 10), SNR: round(chirp.Summarise(snr, 0).Median, 10),
		Input: s.Input, Ear: s.Output, DriverInput: round(1000*s.InputLatency, 10), DriverOutput: round(1000*s.OutputLatency, 10),
	}
	switch {
	case o.hasInput:
		v := round(r.RoundTrip-o.input, 1e3)
		r.Output = &between{v, v, v}
	case o.hasCable:
		v := r.RoundTrip - o.cable/2
		r.Output = &between{round(v, 1e3), round(max(0, v-o.cable/2), 1e3), round(v+o.cable/2, 1e3)}
	}
	if r.Output != nil && r.Output.Value < 0 {
		return r, fmt.Errorf("the way in that was given is longer than the whole round trip of %.1f ms; correct --input-latency or --cable", r.RoundTrip)
	}
	return r, nil
}

func (o *latencyOptions) print(out io.Writer, tries []attempt, r latencyResult) error {
	if o.json {
		return printLatencyJSON(out, tries, r)
	}
	w := bufio.NewWriter(out)
	printAttempts(w, tries)
	fmt.Fprintf(w, "\nRound trip %.2f ms (%.1f samples), out to the ear and in through the microphone\n", r.RoundTrip, r.Samples)
	fmt.Fprintf(w, "  %d of %d tries found, from %.2f to %.2f ms; median absolute deviation %.3f ms\n", r.Found, r.Tries, r.Min, r.Max, r.MAD)
	switch {
	case o.hasInput:
		fmt.Fprintf(w, "  out to the ear alone %.2f ms, without the %v ms of the way in\n", r.Output.Value, o.input)
	case o.hasCable:
		fmt.Fprintf(w, "  out to the ear alone about %.1f ms, %.1f to %.1f: how much of the cable's %v ms\n  is the way in cannot be known, half was taken\n",
			r.Output.Value, r.Output.From, r.Output.To, o.cable)
	default:
		fmt.Fprintln(w, "  as latency_ms it is right for walks that are heard by this microphone")
	}
	if o.profile != "" {
		fmt.Fprintf(w, "  the profile has %v ms\n", o.stored)
	}
	fmt.Fprintf(w, "\nOut by %s, in by %s.\nThe driver claims %.1f ms out and %.1f ms in, no more than a hint.\n", oneLine(r.Ear), oneLine(r.Input), r.DriverOutput, r.DriverInput)
	return w.Flush()
}

func printAttempts(w io.Writer, tries []attempt) {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "TRY\tLATENCY\tPEAK\tSNR\tLEVEL")
	for i, a := range tries {
		if a.err != nil {
			fmt.Fprintf(tw, "%d\t%v\n", i+1, a.err)
			continue
		}
		note := ""
		if a.Clipped {
			note = ", clipped: lower --volume"
		}
		fmt.Fprintf(tw, "%d\t%.3f ms\t%.0f dB\t%.0f dB\t%.0f dBFS%s\n", i+1, a.ms(), a.Peak, a.SNR, a.Level, note)
	}
	tw.Flush()
}

// attemptJSON is one try.
type attemptJSON struct {
	Kind  string `json:"kind"` // "try"
	Found bool   `json:"found"`
	Why   string `json:"why,omitempty"` // it was not
	*foundJSON
}

type foundJSON struct {
	Latency float64 `json:"latency_ms"`
	Peak    float64 `json:"peak_db"`
	SNR     float64 `json:"snr_db"`
	Level   float64 `json:"level_dbfs"`
	Clipped bool    `json:"clipped"`
}

func printLatencyJSON(w io.Writer, tries []attempt, r latencyResult) error {
	enc := json.NewEncoder(w)
	for _, a := range tries {
		j := attemptJSON{Kind: "try", Found: a.err == nil}
		if a.err != nil {
			j.Why = a.err.Error()
		} else {
			j.foundJSON = &foundJSON{round(a.ms(), 1e3), round(a.Peak, 10), round(a.SNR, 10), round(a.Level, 10), a.Clipped}
		}
		if err := enc.Encode(j); err != nil {
			return err
		}
	}
	return enc.Encode(r)
}
