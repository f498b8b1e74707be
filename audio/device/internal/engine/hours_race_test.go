//go:build race

package engine

// hours the simulated devices run; the race detector makes them long.
const hours = 0.06
