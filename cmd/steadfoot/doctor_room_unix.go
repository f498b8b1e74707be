//go:build linux || darwin

package main

import "syscall"

// freeRoom is how many bytes this user may still fill where dir is.
func freeRoom(dir string) (uint64, bool) {
	var s syscall.Statfs_t
	if syscall.Statfs(dir, &s) != nil {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
}
