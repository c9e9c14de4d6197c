//go:build unix

package journal

import "syscall"

// processAlive tells whether a process of that id runs, this user's or not.
func processAlive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || err == syscall.EPERM
}
