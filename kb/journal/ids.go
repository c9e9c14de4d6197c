package journal

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"sync"
	"time"

	"github.com/oklog/ulid/v2"
)

// newest is the last id handed out by this process. It is shared by all stores
// because ids must rise within the process, whoever asks.
var newest struct {
	sync.Mutex
	ms      uint64
	entropy *ulid.MonotonicEntropy
}

// NewEventID returns a ULID for an act at the given time. Within a process each
// id is greater than the one before, even when the clock stands or goes back,
// so that acts of the same instant keep the order in which they were made.
func NewEventID(at time.Time) string {
	newest.Lock()
	defer newest.Unlock()
	if newest.entropy == nil {
		newest.entropy = ulid.Monotonic(rand.Reader, 0)
	}
	newest.ms = max(newest.ms, milliseconds(at))
	id, err := ulid.New(newest.ms, newest.entropy)
	if errors.Is(err, ulid.ErrMonotonicOverflow) {
		newest.ms++
		id, err = ulid.New(newest.ms, newest.entropy)
	}
	if err != nil {
		// Only a failing random source is left, and the program cannot go on
		// without one.
		panic("journal: no event id: " + err.Error())
	}
	return id.String()
}

// EventIDFor returns the id of the n-th event that an outside record gives
// rise to, such as a row of an import file: the same time, source and n always
// give the same id, so that nothing is imported twice, and the ids of a source
// rise with n, so that events of the same instant keep their order. 80 bits of
// the id are not the time: 64 of a SHA-256 of source, and n.
func EventIDFor(at time.Time, source string, n uint16) string {
	sum := sha256.Sum256([]byte(source))
	var id ulid.ULID
	// The only error is a time past the year 10889, which milliseconds excludes.
	_ = id.SetTime(milliseconds(at))
	_ = id.SetEntropy(binary.BigEndian.AppendUint16(sum[:8:8], n))
	return id.String()
}

func milliseconds(at time.Time) uint64 {
	return uint64(min(max(at.UnixMilli(), 0), int64(ulid.MaxTime())))
}
