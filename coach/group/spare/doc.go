// Package spare lets one hub follow another over its WebSocket, ready to lead when
// that is gone, where there is no bus.
//
//	      maps, past, clock, board
//	leader ◀────────────────────────▶ spare ──▶ members and boards that come here
//	      its address, commands
//
// A spare is let in by the leader's key. It keeps the maps, every command and the
// leader's clock, and serves members meanwhile; the leader's maps name it, so that
// members know where to go. When the leader has been silent for [Options.Silence],
// or when [Source.TakeOver] says so, it conducts from the same commands on the same
// clock, by the next term: the beat goes on as it was.
//
// # Who leads
//
// A term counts who leads. Members never go back to a lower one. A hub that leads
// calls those it knows of and that do not follow it, and tells its term and address;
// of two that meet the one of the lower term follows the other. Of equal terms, as
// after a network was cut in two, the one whose address comes first raises its term.
// Commands that the other took meanwhile are lost and told.
//
// Only who has the key is heard in any of this: nothing that a member sends counts.
package spare
