// Package hub is the place where a group meets inside one leader: an
// [http.Handler] with the socket of the members at /member, that of the coach's
// board and of spares at /board, and the pages everywhere else. Package group
// has what is said there.
//
// A hub conducts nothing. Its groups come from a [group.Source]; it hands each
// member the newest map and the group's clock, and keeps what the members tell
// of their walkers for the boards. Nothing a member sends reaches the Source.
//
// # What keeps it standing
//
// Each connection has one goroutine that reads and one that writes, with a small
// queue between. A map or a board that was not sent yet is replaced by a newer
// one, and whoever lets the queue fill, or a write take long, is dropped: nobody
// waits for a slow member. Sizes, rates and numbers of connections are bounded
// ([Options]), wrong words and keys cost a growing pause, and both sockets refuse
// a page from elsewhere by its Origin.
//
// Nothing listens by itself: the caller gives [Hub.Serve] a listener.
package hub
