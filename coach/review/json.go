package review

import (
	"bufio"
	"encoding/json"
	"io"
	"time"

	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

// line is a session as one JSON object. Settings, input, output and version are
// left out in the list.
type line struct {
	Kind     string          `json:"kind"` // "session"
	ID       int64           `json:"id"`
	Started  time.Time       `json:"started"`
	Athlete  string          `json:"athlete,omitempty"`
	Label    string          `json:"label,omitempty"`
	Duration float64         `json:"duration"` // s
	Steps    int             `json:"steps"`
	Heard    int             `json:"heard"`
	Events   int             `json:"events"`
	Complete bool            `json:"complete"`
	Settings json.RawMessage `json:"settings,omitempty"`
	Input    string          `json:"input,omitempty"`
	Output   string          `json:"output,omitempty"`
	Version  string          `json:"version,omitempty"`
}

func lineOf(i logbook.Info) line {
	return line{Kind: "session", ID: i.ID, Started: i.Started, Athlete: i.Athlete, Label: i.Label,
		Duration: i.Duration, Steps: i.Steps, Heard: i.Heard, Events: i.Events, Complete: i.Complete}
}

// ListJSON writes one object a session, each on a line.
func ListJSON(w io.Writer, sessions []logbook.Info) error {
	b := bufio.NewWriter(w)
	enc := json.NewEncoder(b)
	for _, s := range sessions {
		if err := enc.Encode(lineOf(s)); err != nil {
			return err
		}
	}
	return b.Flush()
}

// PrintJSON writes a session as JSON Lines: its header, every event, and the
// summary.
func PrintJSON(w io.Writer, h logbook.Header, info logbook.Info, events []event.Event) error {
	b := bufio.NewWriter(w)
	enc := json.NewEncoder(b)
	head := lineOf(info)
	head.Settings, head.Input, head.Output, head.Version = h.Settings, h.Input, h.Output, h.Version
	if err := enc.Encode(head); err != nil {
		return err
	}
	var buf []byte
	for _, e := range events {
		var err error
		if buf, err = event.AppendJSON(buf[:0], e); err != nil {
			return err
		}
		b.Write(append(buf, '\n')) // an error comes back from Flush
	}
	summary := struct {
		Kind string `json:"kind"`
		Summary
	}{"summary", Analyse(h, events)}
	if err := enc.Encode(summary); err != nil {
		return err
	}
	return b.Flush()
}
