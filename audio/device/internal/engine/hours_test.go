//go:build !race

package engine

// hours the simulated devices run.
const hours = 3.0
