package journal

import "syscall"

// letGo takes the pages of a mapped file out of the memory of the process. They
// only hold what the file holds (madvise(2): for a shared mapping of a file,
// MADV_DONTNEED makes later accesses read it from the file), so that nothing is
// lost; where the system refuses, memory is all that is lost.
func letGo(start, length uintptr) {
	_, _, _ = syscall.Syscall(syscall.SYS_MADVISE, start, length, syscall.MADV_DONTNEED)
}
