package logbook

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// soundFolder is where kept sounds are, beside the store.
const soundFolder = "sounds"

// SoundFolder is the folder of the sounds that are kept. It may not be there.
func (s *Store) SoundFolder() string { return filepath.Join(filepath.Dir(s.path), soundFolder) }

// SoundPath is the file that the sound of a session is kept in, by the session's
// UID; whether it is kept, Info.Sound tells. It is "" for what is no UID: one may
// come from another store, and names a file.
func (s *Store) SoundPath(uid string) string {
	if !uidForm.MatchString(uid) {
		return ""
	}
	return filepath.Join(s.SoundFolder(), uid+soundEnd)
}

const soundEnd = ".wav"

// CreateSound makes the file for a session's sound, for its owner alone. There
// must not be one yet.
func (s *Store) CreateSound(uid string) (*os.File, error) {
	path := s.SoundPath(uid)
	if path == "" {
		return nil, fmt.Errorf("no sound can be kept under the uid %q", uid)
	}
	if err := os.MkdirAll(s.SoundFolder(), 0o700); err != nil {
		return nil, err
	}
	return os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
}

// DeleteSound deletes the sound of a session, for good, and nothing else of it.
// It fails when none is kept.
func (s *Store) DeleteSound(id int64) error {
	_, i, err := s.Session(id)
	if err != nil {
		return err
	}
	if i.Sound == 0 {
		return fmt.Errorf("no sound of walk %d is kept", id)
	}
	return os.Remove(s.SoundPath(i.UID))
}

// removeSound is DeleteSound for a session that may have none.
func (s *Store) removeSound(uid string) error {
	path := s.SoundPath(uid)
	if path == "" {
		return nil
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// soundOf is the size of a session's sound in bytes, 0 when there is none.
func (s *Store) soundOf(uid string) int64 {
	st, err := os.Stat(s.SoundPath(uid))
	if err != nil {
		return 0
	}
	return st.Size()
}

// Sounds tells how many bytes the sound of each session takes, by UID. A folder
// that cannot be read has none.
func (s *Store) Sounds() map[string]int64 {
	list, err := os.ReadDir(s.SoundFolder())
	if err != nil {
		return nil
	}
	sizes := make(map[string]int64, len(list))
	for _, e := range list {
		uid, ok := strings.CutSuffix(e.Name(), soundEnd)
		if !ok || !uidForm.MatchString(uid) {
			continue
		}
		if st, err := e.Info(); err == nil {
			sizes[uid] = st.Size()
		}
	}
	return sizes
}
