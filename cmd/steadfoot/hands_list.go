package main

import (
	"context"
	"errors"
	"slices"

	"steadfoot/cmd/steadfoot/live"
)

// byClap is the --hands that is the walker's own.
const byClap = "clap"

// handList is all hands of a walk.
type handList []*hands

// openHandList opens every hand but the walker's own, or none.
func openHandList(where []string) (handList, error) {
	var all handList
	for i, w := range where {
		if slices.Contains(where[:i], w) {
			all.close()
			return nil, usagef("--hands %s is given twice", w)
		}
		if w == byClap {
			continue
		}
		h, err := openHands(w)
		if err != nil {
			all.close()
			return nil, err
		}
		all = append(all, h)
	}
	return all, nil
}

func (l handList) start(ctx context.Context, to reach) {
	for _, h := range l {
		h.start(ctx, to)
	}
}

func (l handList) close() error {
	var all error
	for _, h := range l {
		all = errors.Join(all, h.close())
	}
	return all
}

// hearClaps has the walker heard clapping, where that is wanted.
func (o *walkOptions) hearClaps(w *live.Walk) error {
	if !slices.Contains(o.hands, byClap) {
		return nil
	}
	ear, ok := w.Ear.(*live.SoundEar)
	if !ok {
		return usagef("--hands clap: there is no sound to hear claps in; use another of --hands")
	}
	if err := ear.HearClaps(); err != nil {
		return usagef("--hands clap: %v", err)
	}
	return nil
}
