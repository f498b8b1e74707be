// Package clock lets a member of a group know the group's time: an offset and a
// drift from exchanges of four time stamps (RFC 5905, section 8), and a mapping
// of the member's own monotonic clock to group time that runs without steps.
//
// [Exchange] is one question and its answer. [Filter] keeps the best of the last
// eight. [Follower] is what a member holds: it takes in every exchange with
// [Follower.Add] and gives group time with [Follower.Group], the way back with
// [Follower.Local], and how far it may be off with [Follower.Spread].
//
// What no such method can see is a path that is slower in one direction than in
// the other: half the difference is an error, at most half the delay. Spread
// tells that bound beside its best guess.
//
// All is pure: no clock is read, equal inputs give equal outputs. Values are not
// safe for use by several goroutines at once.
package clock
