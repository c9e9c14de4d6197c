package journal

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"math"

	"sootsayer/kb"
)

// recordVersion is the first byte of every record. A migration that changes
// the content of events must raise it, so that Salvage does not bring back old
// content from pages that are no longer in use.
const recordVersion = 1

// recordHead is the length of a record before its body: version and checksum.
const recordHead = 1 + 4

// castagnoli is the polynomial of CRC-32C (RFC 3720, appendix B.4), which
// processors compute themselves.
var castagnoli = crc32.MakeTable(crc32.Castagnoli)

var (
	errShort    = errors.New("it is too short to be a record")
	errChecksum = errors.New("its checksum does not match")
)

// encodeRecord puts version and checksum before a body.
func encodeRecord(body []byte) []byte {
	rec := make([]byte, recordHead, recordHead+len(body))
	rec[0] = recordVersion
	binary.BigEndian.PutUint32(rec[1:], checksum(recordVersion, body))
	return append(rec, body...)
}

// decodeRecord returns the body of a record, which shares its memory.
func decodeRecord(rec []byte) ([]byte, error) {
	if len(rec) < recordHead {
		return nil, errShort
	}
	body := rec[recordHead:]
	if binary.BigEndian.Uint32(rec[1:]) != checksum(rec[0], body) {
		return nil, errChecksum
	}
	if rec[0] != recordVersion {
		return nil, fmt.Errorf("it is a record of version %d and this sootsayer reads %d", rec[0], recordVersion)
	}
	return body, nil
}

func checksum(version byte, body []byte) uint32 {
	return crc32.Update(crc32.Checksum([]byte{version}, castagnoli), castagnoli, body)
}

// encodeEvent writes the record of an event.
func encodeEvent(e Event) ([]byte, error) {
	body, err := e.MarshalJSON()
	if err != nil {
		return nil, err
	}
	return encodeRecord(body), nil
}

// decodeEvent reads the record of an event.
func decodeEvent(rec []byte) (Event, error) {
	body, err := decodeRecord(rec)
	if err != nil {
		return Event{}, err
	}
	var e Event
	err = e.UnmarshalJSON(body)
	return e, err
}

// jobRecord is a folded job with the arrival number of its newest event.
type jobRecord struct {
	seq uint64
	job kb.Job
}

// encodeJob writes the record of a folded job: eight bytes of seq, then JSON.
func encodeJob(r jobRecord) ([]byte, error) {
	text, err := json.Marshal(r.job)
	if err != nil {
		return nil, err
	}
	return encodeRecord(append(seqKey(r.seq), text...)), nil
}

// decodeJob reads the record of a folded job.
func decodeJob(rec []byte) (jobRecord, error) { return decodeJobUpTo(rec, math.MaxUint64) }

// decodeJobUpTo leaves the job out when an event that arrived later than most
// went into it.
func decodeJobUpTo(rec []byte, most uint64) (jobRecord, error) {
	body, err := decodeRecord(rec)
	if err != nil {
		return jobRecord{}, err
	}
	if len(body) < 8 {
		return jobRecord{}, errShort
	}
	r := jobRecord{seq: binary.BigEndian.Uint64(body)}
	if r.seq > most {
		return r, nil
	}
	err = json.Unmarshal(body[8:], &r.job)
	return r, err
}
