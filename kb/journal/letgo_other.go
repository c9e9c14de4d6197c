//go:build !linux

package journal

// letGo leaves it to the system which pages of a mapped file stay in memory.
func letGo(_, _ uintptr) {}
