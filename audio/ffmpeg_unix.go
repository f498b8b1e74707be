//go:build unix

package audio

import (
	"os/exec"
	"syscall"
)

// standApart keeps Ctrl-C on the terminal from cmd: it is ended by its close, and
// must not look like a damaged sound before.
func standApart(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }
