//go:build !linux && !darwin

package main

// freeRoom is not known here.
func freeRoom(string) (uint64, bool) { return 0, false }
