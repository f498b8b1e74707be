package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"sync"
	"time"
)

// Header is what is known of a session when it begins.
type Header struct {
	Started  time.Time       // wall clock at session time 0, given by the caller
	Athlete  string          // name; may be empty
	Label    string          // free text; may be empty
	Plan     string          // name of the session plan; may be empty
	Settings json.RawMessage // of the coach, as JSON; opaque here, may be empty
	Input    string          // where the walk is heard: a file, a device
	Output   string          // where the beat goes
	Version  string          // of the program
}

// Info is what the list of sessions shows.
type Info struct {
	ID       int64     // counts up from 1 within a store and is never used again
	Started  time.Time // in the zone it was walked in
	Athlete  string
	Label    string
	Plan     string   // name of the session plan
	Note     string   // what somebody wrote about it afterwards
	Tags     []string // sorted
	Deleted  bool     // set aside by Delete, until it is purged or brought back
	UID      string   // the session's own name, the same in every store it is merged into
	Duration float64  // time of the last step, rhythm, gap, mark or fault, s
	Steps    int      // heard and bridged
	Heard    int      // of the steps
	Events   int      // of all kinds
	Complete bool     // false: cut short, or still being written
	Sound    int64    // bytes of the sound that is kept, 0 when none is
}

// ErrNoSession is wrapped by the error for an unknown session number.
var ErrNoSession = errors.New("no such session")

// Store is an open file of sessions. It is safe for concurrent use, and several
// processes may have the same file open.
type Store struct {
	db       *sql.DB
	path     string
	file     fs.FileInfo // of the file that was opened to be written; nil: to be read only
	together together

	mu      sync.Mutex
	writers map[*Writer]struct{}
}

// busyTimeout is how long an access waits for another process's write.
const busyTimeout = 5 * time.Second

// Open opens the store at path and makes it when there is none; its folder must
// exist. A store of an older version is updated after a copy was made beside
// it. A file that is not a store, or is from a newer version, is refused and
// left as it is.
func Open(path string) (*Store, error) {
	if err := looksLikeStore(path, os.O_RDWR|os.O_CREATE); err != nil {
		return nil, fmt.Errorf("store %s: %w", path, err)
	}
	s, err := connect(path, "mode=rwc&_txlock=immediate")
	if err != nil {
		return nil, err
	}
	if err := migrate(context.Background(), s.db, path, migrations); err != nil {
		s.db.Close()
		return nil, s.fail(err)
	}
	if s.file, err = os.Stat(path); err != nil {
		s.db.Close()
		return nil, s.fail(reason(err))
	}
	return s, nil
}

// OpenReadOnly opens an existing store to read it; Begin fails on it. It works
// on a read-only disk too when the store was closed properly.
func OpenReadOnly(path string) (*Store, error) {
	if err := looksLikeStore(path, os.O_RDONLY); err != nil {
		return nil, fmt.Errorf("store %s: %w", path, err)
	}
	s, err := connect(path, "mode=ro")
	if err != nil {
		return nil, err
	}
	have, err := versionOf(context.Background(), s.db)
	if err != nil && noFile(path+"-wal") {
		// SQLite wants to make its helper files, which a read-only folder
		// does not let it; without a WAL there is nothing in them.
		s.db.Close()
		if s, err = connect(path, "mode=ro&immutable=1"); err != nil {
			return nil, err
		}
		have, err = versionOf(context.Background(), s.db)
	}
	if err == nil {
		switch {
		case have == 0:
			err = errNotStore
		case have < len(migrations):
			err = ErrOld
		case have > len(migrations):
			err = errNewer
		}
	}
	if err != nil {
		s.db.Close()
		return nil, s.fail(err)
	}
	return s, nil
}

func connect(path, options string) (*Store, error) {
	name := strings.NewReplacer("%", "%25", "?", "%3f", "#", "%23").Replace(path)
	dsn := fmt.Sprintf("file:%s?%s&_pragma=busy_timeout(%d)&_pragma=synchronous(FULL)", name, options, busyTimeout.Milliseconds())
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, fmt.Errorf("store %s: %w", path, err)
	}
	return &Store{db: db, path: path, writers: map[*Writer]struct{}{}}, nil
}

// looksLikeStore refuses what is certainly not a store before SQLite opens it,
// with the system's own reason. It opens the file with flag; one it makes is
// for its owner alone.
func looksLikeStore(path string, flag int) error {
	if st, err := os.Stat(path); err == nil && !st.Mode().IsRegular() {
		if st.IsDir() {
			return errors.New("is a folder; name a file")
		}
		return errors.New("is a device or a pipe; name a file") // to open one may wait for ever
	}
	f, err := os.OpenFile(path, flag, 0o600)
	if errors.Is(err, fs.ErrPermission) {
		return fmt.Errorf("%w; check the rights of the file and its folder, or name another file", reason(err))
	}
	if err != nil {
		return reason(err)
	}
	defer f.Close()
	const magic = "SQLite format 3\x00"
	head := make([]byte, len(magic))
	n, err := io.ReadFull(f, head)
	if err == io.EOF { // an empty file may become a store
		return nil
	}
	if string(head[:n]) != magic {
		return errNotStore
	}
	return nil
}

// reason strips the path from an error of the file system; fail puts it back.
func reason(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

func noFile(path string) bool {
	_, err := os.Stat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// Close writes what open writers still hold, leaves their sessions cut short,
// and closes the file.
func (s *Store) Close() error {
	s.mu.Lock()
	var open []*Writer
	for w := range s.writers {
		open = append(open, w)
	}
	s.mu.Unlock()
	errs := make([]error, len(open)+1)
	var all sync.WaitGroup
	for i, w := range open {
		all.Go(func() { errs[i] = w.stop(false) })
	}
	all.Wait()
	if s.gone() {
		errs[len(open)] = s.closeGone()
	} else {
		errs[len(open)] = s.db.Close()
	}
	return errors.Join(errs...)
}
