package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"steadfoot/coach/logbook"
)

const (
	storeLimit = 10 * time.Second // to go through the store

	// A walk took 0.5 MB when ten thousand of them were stored (4.8 GB).
	leastRoom = 10 << 20  // bytes free, for a few walks
	tightRoom = 200 << 20 // for hundreds, but not for the sound of one
)

// checkStore looks at the store without making or changing it.
func checkStore(ctx context.Context, c *checkup) []finding {
	path, err := storeFile(c.store)
	if err != nil {
		return []finding{fault("name a file: --store FILE", "%v", err)}
	}
	var found []finding
	dir := filepath.Dir(path)
	st, err := os.Stat(path)
	switch {
	case err == nil:
		found = append(found, checkStoreFile(ctx, path, st))
	case errors.Is(err, fs.ErrNotExist):
		for dir != filepath.Dir(dir) && missing(dir) { // the walk makes the folders
			dir = filepath.Dir(dir)
		}
		found = append(found, okay("%s is not there yet; the first walk makes it", path))
	default:
		return []finding{fault(mendRights, "%v", err)}
	}
	if err := canMakeFile(dir); err != nil {
		if found[0].Verdict == isOK {
			found = nil // it is not, then
		}
		return append(found, fault(mendRights, "no file can be made in %s: %v", dir, err))
	}
	if room, ok := freeRoom(dir); ok {
		found = append(found, judgeRoom(room))
	}
	return found
}

const mendRights = "give yourself the right to write there (chmod u+w), or name another file: --store FILE"

func missing(path string) bool {
	_, err := os.Stat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// canMakeFile tries to: a store needs helper files beside it.
func canMakeFile(dir string) error {
	f, err := os.CreateTemp(dir, ".steadfoot-doctor-*")
	if err != nil {
		var p *fs.PathError
		if errors.As(err, &p) {
			return p.Err
		}
		return err
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// checkStoreFile looks at a store that is there.
func checkStoreFile(ctx context.Context, path string, st fs.FileInfo) finding {
	if st.Mode().IsRegular() && st.Size() == 0 {
		return okay("%s is empty; the first walk makes it a store", path)
	}
	ctx, cancel := context.WithTimeout(ctx, storeLimit)
	defer cancel()
	h, err := logbook.Check(ctx, path)
	switch {
	case errors.Is(err, logbook.ErrOld):
		return warn("'steadfoot log list' does it at once", "%v", err)
	case errors.Is(err, logbook.ErrUnchecked):
		return warn("'steadfoot log backup FILE' goes through all of it", "%s with %s is too large to be gone through in %v", size(st.Size()), counted(h.Sessions, "walk"), storeLimit)
	case errors.Is(err, fs.ErrPermission):
		return fault(mendRights, "%v", err)
	case h.Damaged: // restore alone would want to open it
		p := shellWord(path)
		return fault(fmt.Sprintf("mkdir damaged && mv %s* damaged/ && steadfoot log restore BACKUP --store %s", p, p), "%v", err)
	case err != nil:
		return fault("name another file: --store FILE; or update steadfoot, if a newer one has written it", "%v", err)
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return fault(mendRights, "%v", err)
	}
	f.Close()
	return okay("%s is sound: version %d, %s, %s", path, h.Version, counted(h.Sessions, "walk"), size(st.Size()))
}

// shellWord is a path as a shell takes it.
func shellWord(path string) string {
	if strings.ContainsAny(path, " \t'\"$`\\*?[]&;|<>()#~") {
		return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	return path
}

// judgeRoom is given the bytes that are free where the store is.
func judgeRoom(free uint64) finding {
	f := okay("%s free", size(int64(free)))
	switch {
	case free < leastRoom:
		f = fault("make room, or name a file on another disk: --store FILE", "only %s free where the store is", size(int64(free)))
	case free < tightRoom:
		f = warn("make room before a walk with --keep-sound", "only %s free where the store is", size(int64(free)))
	}
	f.Check = "disk"
	return f
}

// size is a number of bytes for people.
func size(n int64) string {
	switch {
	case n < 1e6:
		return fmt.Sprintf("%.0f kB", float64(n)/1e3)
	case n < 1e9:
		return fmt.Sprintf("%.1f MB", float64(n)/1e6)
	}
	return fmt.Sprintf("%.1f GB", float64(n)/1e9)
}
