package main

import (
	"fmt"
	"os"

	"steadfoot/audio"
	"steadfoot/coach/logbook"
)

// logSound tells of the sound of a walk, or deletes it.
func logSound(std stdio, s *logbook.Store, o logOptions, args []string) error {
	id, err := sessionID(s, args[0])
	if err != nil {
		return err
	}
	_, i, err := s.Session(id)
	if err != nil {
		return err
	}
	if i.Sound == 0 {
		return fmt.Errorf("no sound of walk %d is kept; 'steadfoot walk --keep-sound' keeps one", id)
	}
	path := s.SoundPath(i.UID)
	if !o.deleteSound {
		_, err := fmt.Fprintf(std.out, "%s  %s%s\n", path, megabytes(i.Sound), soundLength(path))
		return err
	}
	if err := confirm(std, o, fmt.Sprintf("Delete the sound of walk %d (%s) for good?", id, megabytes(i.Sound))); err != nil {
		return err
	}
	if err := s.DeleteSound(id); err != nil {
		return err
	}
	_, err = fmt.Fprintf(std.out, "The sound of walk %d is deleted; the walk is still there.\n", id)
	return err
}

// soundLength is how long a sound lasts, in words; nothing for one that cannot be
// read.
func soundLength(path string) string {
	f, err := audio.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	return fmt.Sprintf(", %s at %d Hz", clockTime(float64(f.Length())/float64(f.Rate())), f.Rate())
}

// sayNoSounds says that sounds stay where they are, if there are any; other is
// where they might have gone.
func sayNoSounds(std stdio, folder, other string) {
	list, err := os.ReadDir(folder)
	if err != nil || len(list) == 0 || same(folder, other) {
		return
	}
	fmt.Fprintf(std.out, "Sounds that were kept are not copied; they stay in %s.\n", folder)
}

func megabytes(n int64) string { return fmt.Sprintf("%.1f MB", float64(n)/1e6) }
