// Package logbook keeps sessions: a header, then every event as it happens, in
// one SQLite file.
//
// [Open] a store, [Store.Begin] a session, [Writer.Append] its events and
// [Writer.End] it. [Store.Sessions] lists what is there, [Store.Session] and
// [Store.Events] read one session back. A number comes back with the same bits
// it went in with, so that a replay of a stored session gives the same answers.
//
// # What can be lost
//
// Append only encodes the event in memory; a goroutine of the writer commits
// what has come every quarter of a second, and each commit is one SQLite
// transaction in WAL mode with synchronous=FULL.
//
//   - A killed process loses the events since the last commit, normally less
//     than 0.3 s of them. The session is then listed as cut short and reads
//     like any other.
//   - A power cut or a crash of the system loses the same when the disk keeps
//     what it was told to flush, because every commit waits for that flush. A
//     slow disk (an SD card can take some 100 ms) adds the time of one flush.
//   - A disk that is full or fails loses nothing while the process lives:
//     events stay in memory, in the stored form (some 50 bytes a step), and are
//     tried again with every commit. Err says what went wrong first. End may be
//     called again until it succeeds.
//
// The file is never left half written: a transaction is there or it is not.
//
// # Layout
//
// Events are stored in chunks, one chunk a database page, about 90 steps with
// the rhythm between them. A chunk grows with each commit until it is full and
// is never touched again; each can be decoded alone. The table of sessions holds
// the duration and the counts, so that a list reads no chunk; the settings, which
// are long, have a table of their own for the same reason. BenchmarkScale measures
// what a store of years takes: 46 bytes a step with all that lies between two.
//
// # Sounds
//
// The sound of a session, where it is kept, is a file in the folder sounds beside
// the store, with the session's UID for a name. The file itself is all that is
// known of it: deleting it is all it takes. [Store.Purge] deletes it with its
// session; [Store.Merge] and [Store.Backup] leave it where it is.
// A [Digest] of a session, made by whoever looks back at it, is kept in a table of its
// own; it can be made again at any time, and goes when its session is purged.
//
// Several processes may use one store at once. One writes at a time, the others
// wait for it; readers are not held up.
package logbook
