//go:build !unix

package kb

import "time"

var started = time.Now()

// cpuTime is the time since the tests began, where processor time is not told.
func cpuTime() time.Duration { return time.Since(started) }
