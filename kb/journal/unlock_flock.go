//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package journal

import (
	"os"
	"syscall"
)

// unlock takes back the lock that bolt has put on a file by flock.
func unlock(file *os.File) error { return syscall.Flock(int(file.Fd()), syscall.LOCK_UN) }
