//go:build !unix

package audio

import "os/exec"

// standApart does nothing where there are no process groups.
func standApart(*exec.Cmd) {}
