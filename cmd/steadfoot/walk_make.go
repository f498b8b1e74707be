package main

import (
	"steadfoot/audio/cue"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// newWalk makes what does not depend on the machine.
func newWalk(o walkOptions, a profiles.Athlete) (*live.Walk, coach.Settings, error) {
	set, err := coach.For(a)
	if err != nil {
		return nil, set, err
	}
	set.Plan = o.plan
	if o.party != nil {
		set.Beat.Mode = coach.Shared
	}
	if set.Lap, err = lapLength(o.lap, o.lane); err != nil {
		return nil, set, err
	}
	w := &live.Walk{Length: o.duration.Seconds(), Latency: a.LatencyMS / 1000, Lead: playAhead, Voice: o.voice, Accents: a.Beat.Accent > 1}
	if w.Dose, err = cue.NewDose(a.LevelAtFull); err != nil {
		return nil, set, err
	}
	if o.in == "-" {
		w.Lead = playAheadOfPipe
		set.Policy.Lead += playAheadOfPipe - playAhead
	}
	if w.Coach, err = coach.New(set); err != nil {
		return nil, set, err
	}
	w.Player, err = cue.NewPlayer(cue.Options{Volume: a.Volume})
	return w, set, err
}

// tellSpans tells the coach how long its cues last. It waits for the voice, whose
// sounds are made while the device opens.
func (o *walkOptions) tellSpans(w *live.Walk, set *coach.Settings) (err error) {
	set.Spans = o.voice.Spans()
	w.Coach, err = coach.New(*set)
	return err
}

// openVoice makes the sounds of the cues.
func (o *walkOptions) openVoice(std stdio, a profiles.Athlete) error {
	layer, err := cue.ParseLayer(a.Cues.Layer)
	if err != nil {
		return err
	}
	var warnings []string
	o.voice, warnings, err = cue.NewVoice(layer, a.Cues.Lines)
	for _, text := range warnings {
		o.warn(std, "warning: %s", text)
	}
	return err
}

// readSession reads the session to be walked, and takes the target from it where
// nothing else gives one.
func (o *walkOptions) readSession(std stdio, a *profiles.Athlete) (err error) {
	if o.session == "" {
		if a.Target == (profiles.Target{}) {
			return usagef("there is no target; give --cadence 192, or --pace 5:10 --step-length 1.05, --profile or --session")
		}
		return nil
	}
	if o.plan, err = findSession(o.session); err != nil {
		return err
	}
	for _, note := range coach.PlanNotes(o.plan, a.StepLength) {
		o.warn(std, "note: %s", note)
	}
	if o.label == "" {
		o.label = o.plan.Name
	}
	if a.Target == (profiles.Target{}) {
		a.Target.Cadence = firstTarget(o.plan, a.StepLength)
	}
	return nil
}

// firstTarget is the cadence of the first part of a plan that has one; a plan
// that leaves the walker free all along never comes back to it.
func firstTarget(p *profiles.Plan, c profiles.Curve) float64 {
	for _, part := range p.Parts {
		for _, t := range part.Targets {
			if cadence := coach.PlanCadence(t.Target, c); cadence >= detect.Slowest && cadence <= detect.Fastest {
				return cadence
			}
		}
	}
	return 180
}

// lapLength is the length of a lap in m by --lap or --lane, 0 for neither.
func lapLength(lap string, lane int) (float64, error) {
	length, err := lapOf("lap", lap, lane)
	if err == nil && length != 0 && !(length >= 50 && length <= 50000) {
		err = usagef("--lap %q: want 50 m to 50 km", lap)
	}
	return length, err
}
