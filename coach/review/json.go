package review

import (
	"bufio"
	"encoding/json"
	"io"
	"time"

	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

// Stored is a session as one JSON object. Settings, input, output and version are
// left out in the list.
type Stored struct {
	Kind     string          `json:"kind"` // "session"
	ID       int64           `json:"id"`
	Started  time.Time       `json:"started"`
	Athlete  string          `json:"athlete,omitempty"`
	Label    string          `json:"label,omitempty"`
	Plan     string          `json:"plan,omitempty"`
	Note     string          `json:"note,omitempty"`
	Tags     []string        `json:"tags,omitempty"`
	UID      string          `json:"uid"`
	Duration float64         `json:"duration"` // s
	Steps    int             `json:"steps"`
	Heard    int             `json:"heard"`
	Events   int             `json:"events"`
	Complete bool            `json:"complete"`
	Sound    int64           `json:"sound,omitempty"` // bytes of the sound that is kept
	Settings json.RawMessage `json:"settings,omitempty"`
	Input    string          `json:"input,omitempty"`
	Output   string          `json:"output,omitempty"`
	Version  string          `json:"version,omitempty"`
}

// Header is what the session began with.
func (s Stored) Header() logbook.Header {
	return logbook.Header{Started: s.Started, Athlete: s.Athlete, Label: s.Label, Plan: s.Plan, Settings: s.Settings,
		Input: s.Input, Output: s.Output, Version: s.Version}
}

// Info is what was said of it later.
func (s Stored) Info() logbook.Info {
	return logbook.Info{Note: s.Note, Tags: s.Tags, UID: s.UID, Complete: s.Complete}
}

func storedOf(i logbook.Info) Stored {
	return Stored{Kind: "session", ID: i.ID, Started: i.Started, Athlete: i.Athlete, Label: i.Label, Plan: i.Plan, Note: i.Note, Tags: i.Tags, UID: i.UID,
		Duration: i.Duration, Steps: i.Steps, Heard: i.Heard, Events: i.Events, Complete: i.Complete, Sound: i.Sound}
}

// ListJSON writes one object a session, each on a line.
func ListJSON(w io.Writer, sessions []logbook.Info) error {
	b := bufio.NewWriter(w)
	enc := json.NewEncoder(b)
	for _, s := range sessions {
		if err := enc.Encode(storedOf(s)); err != nil {
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
	head := storedOf(info)
	head.Sound = 0 // is no part of this
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
