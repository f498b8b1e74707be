// Package member takes part in a group: it joins a hub, knows the group's clock
// and its newest map, and tells how the walker fares. It is what 'steadfoot join',
// a spare leader and the load test are made of.
//
// [Join] returns at once. The [Member] finds a hub, comes back to it or to a spare
// whenever the connection is lost, and ends only when it is closed, or refused for
// good. Between connections the map and the clock go on.
//
//	m, err := member.Join(ctx, member.Options{Addresses: []string{"10.0.0.7:8722"}, Name: "Mira Tal", Word: word})
//	...
//	if err := m.Ready(ctx); err != nil { ... } // the map is there and the clock known
//	for {
//		beat, _ := m.Map()
//		to := m.GroupAt(now + ahead)
//		beat.Beats().Between(from, to, func(b coach.Beat) { play(m.LocalAt(b.T), b) })
//		from = to // in group time, so that no beat is missed or played twice
//	}
//
// Local times are those of [Options.Clock], a monotonic clock. The time of day is
// not looked at. All methods of a Member are safe for use from any goroutine.
package member
