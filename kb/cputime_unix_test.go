//go:build unix

package kb

import (
	"syscall"
	"time"
)

// cpuTime is the processor time that the tests have used so far. Unlike the
// time of day it does not grow while other programs run.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
