package main

import (
	"fmt"
	"os"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/logbook"
)

// keptSound is the sound of a walk while it is being kept; nil when it is not.
type keptSound struct {
	keeper *live.Keeper
	fault  string // why it could not be begun, until it is told
}

// checkSound refuses to keep the sound of an input that has none.
func (o *walkOptions) checkSound(w *live.Walk) error {
	if _, ok := w.Ear.(*live.SoundEar); o.keepSound && !ok {
		return usagef("--keep-sound: %s holds sensor rows, there is no sound to keep", o.in)
	}
	return nil
}

// startSound has the sound of the walk kept, where that is wanted, and says so. If
// it cannot be, the walk goes on without.
func (o *walkOptions) startSound(std stdio, store *logbook.Store, log *logbook.Writer, w *live.Walk) *keptSound {
	ear, ok := w.Ear.(*live.SoundEar)
	if !o.keepSound || !ok {
		return nil
	}
	f, err := store.CreateSound(log.UID())
	var k *live.Keeper
	if err == nil {
		if k, err = live.NewKeeper(f, ear.Rate(), o.fast); err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}
	if err != nil {
		return &keptSound{fault: fmt.Sprintf("the sound cannot be kept: %v; the walk goes on", err)}
	}
	fmt.Fprintf(std.err, "The sound of this walk is kept in %s: voices may be on it. 'steadfoot log sound %d --delete%s' deletes it.\n",
		f.Name(), log.ID(), storeFlag(o.store))
	ear.Heard = k.Take
	return &keptSound{keeper: k}
}

// trouble is for live.Walk's Trouble.
func (k *keptSound) trouble() string {
	switch {
	case k == nil:
		return ""
	case k.keeper != nil:
		return k.keeper.Trouble()
	}
	what := k.fault
	k.fault = ""
	return what
}

// end completes the sound, and says so if it cannot.
func (k *keptSound) end(std stdio, o walkOptions) {
	if k == nil || k.keeper == nil {
		return
	}
	if err := k.keeper.Close(); err != nil {
		o.warn(std, "warning: not all of the sound is kept: %v", err)
	}
}

// storeFlag is what a command needs to find the same store again.
func storeFlag(store string) string {
	if store == "" {
		return ""
	}
	return " --store " + store
}
