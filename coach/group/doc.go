// Package group has what a leader, the members of a group and the coach's board
// tell each other, and the conductor that makes the beat they share.
//
// The beat is a map and not a stream of ticks: a [Map] has the pieces of the beat
// on the group's clock, and is sent when it changes. Each member knows the group's
// clock through exchanges of its own (package clock) and schedules by itself, so
// that lost messages, a pause of minutes or the end of the leader neither stop nor
// bend the beat.
//
//	Conductor ──Map──▶ hub ──WebSocket──▶ member (steadfoot join, a phone's page)
//	    ▲               │ ▲                  │
//	 Command ◀── board ─┘ └──Status, steps───┘
//
// # Time
//
// Group time is in seconds on the clock of the leader, a monotonic one that
// begins with the group. It is never the time of day. All times in this package
// are group time.
//
// # The conversation
//
// Every message is one JSON object with its kind first, in a WebSocket text
// message of at most [MaxMessage] bytes from a member and [MaxCommand] from a
// board. A member begins with join and gets welcome or sorry; then ping is
// answered by pong at once, a map comes whenever it has changed, and the member
// sends a status about once a second and the steps it found.
package group
