package journal

import (
	"encoding/binary"
	"slices"
	"strconv"
	"strings"

	bolt "go.etcd.io/bbolt"
)

// The buckets of the file. Only meta and events hold what cannot be worked out.
var (
	bucketMeta      = []byte("meta")
	bucketEvents    = []byte("events")
	bucketIDs       = []byte("ids")
	bucketByJob     = []byte("byjob")
	bucketByKind    = []byte("bykind")
	bucketCallbacks = []byte("callbacks")
	bucketJobs      = []byte("jobs")
	bucketPhrases   = []byte("phrases")

	lookupBuckets  = [][]byte{bucketIDs, bucketByJob, bucketByKind, bucketCallbacks}
	derivedBuckets = append(slices.Clone(lookupBuckets), bucketJobs, bucketPhrases)
)

// tables are the buckets of one transaction.
type tables struct {
	events, ids, byJob, byKind, callbacks, jobs, phrases *bolt.Bucket
}

// tablesOf opens the buckets; every one of them must be there.
func tablesOf(tx *bolt.Tx) (tables, error) {
	var t tables
	for _, b := range []struct {
		to   **bolt.Bucket
		name []byte
	}{
		{&t.events, bucketEvents}, {&t.ids, bucketIDs}, {&t.byJob, bucketByJob},
		{&t.byKind, bucketByKind}, {&t.callbacks, bucketCallbacks}, {&t.jobs, bucketJobs}, {&t.phrases, bucketPhrases},
	} {
		if *b.to = tx.Bucket(b.name); *b.to == nil {
			return t, damaged("its list %q is missing", b.name)
		}
	}
	return t, nil
}

// lastSeq returns the arrival number of the newest event, 0 when there is none.
func (t tables) lastSeq() (uint64, error) {
	k, _ := t.events.Cursor().Last()
	if k == nil {
		return 0, nil
	}
	n, ok := seqOf(k)
	if !ok {
		return 0, damaged("there is an event under the key %x", k)
	}
	return n, nil
}

// seqKey is the key of an event: its arrival number, counted from 1, as eight
// bytes, most significant first, so that keys sort as numbers do.
func seqKey(seq uint64) []byte { return binary.BigEndian.AppendUint64(nil, seq) }

func seqOf(key []byte) (uint64, bool) {
	if len(key) != 8 {
		return 0, false
	}
	return binary.BigEndian.Uint64(key), true
}

// withSeq is the key of an entry in byjob, bykind and callbacks: what is looked
// up, a zero byte, the arrival number.
func withSeq(prefix []byte, seq uint64) []byte {
	key := make([]byte, 0, len(prefix)+9)
	key = append(append(key, prefix...), 0)
	return binary.BigEndian.AppendUint64(key, seq)
}

// splitSeq is the inverse of withSeq.
func splitSeq(key []byte) (prefix []byte, seq uint64, ok bool) {
	n := len(key) - 9
	if n < 0 || key[n] != 0 {
		return nil, 0, false
	}
	return key[:n], binary.BigEndian.Uint64(key[n+1:]), true
}

// The first byte of a job's key keeps numbers before all other ids.
const (
	jobNumber = 1
	jobText   = 2
)

// maxDigits is the length of the longest job number; a longer one is text.
const maxDigits = 18

// jobKey is the key of a job. Numbers are written with their length before the
// digits, so that 9 comes before 10.
func jobKey(id string) []byte {
	if _, ok := jobNumberOf(id); ok {
		return append([]byte{jobNumber, byte(len(id))}, id...)
	}
	return append([]byte{jobText}, id...)
}

// jobOf is the inverse of jobKey.
func jobOf(key []byte) (string, bool) {
	switch {
	case len(key) > 2 && key[0] == jobNumber && int(key[1]) == len(key)-2:
		return string(key[2:]), true
	case len(key) > 1 && key[0] == jobText:
		return string(key[1:]), true
	}
	return "", false
}

// jobNumberOf returns the number that an id stands for: digits only, no
// leading zero, at most maxDigits of them.
func jobNumberOf(id string) (int64, bool) {
	if id == "" || len(id) > maxDigits || strings.Trim(id, "0123456789") != "" || id[0] == '0' && len(id) > 1 {
		return 0, false
	}
	n, err := strconv.ParseInt(id, 10, 64)
	return n, err == nil
}
