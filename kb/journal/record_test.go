package journal

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sootsayer/kb"
)

func TestChecksumPublished(t *testing.T) {
	f, err := os.Open("testdata/crc32c.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	n := 0
	for lines := bufio.NewScanner(f); lines.Scan(); {
		text, want, ok := strings.Cut(lines.Text(), " ")
		if !ok || strings.HasPrefix(text, "#") {
			continue
		}
		b, err := hex.DecodeString(text)
		if err != nil {
			t.Fatal(err)
		}
		// The version byte stands before the body under the same checksum.
		if got := fmt.Sprintf("%08x", checksum(b[0], b[1:])); got != want {
			t.Errorf("checksum of %s = %s, want %s", text, got, want)
		}
		n++
	}
	if n != 4 {
		t.Errorf("%d published values were read, want 4", n)
	}
}

// TestGoldenRecords pins the bytes: files with them are out there. The
// checksums were worked out bit by bit by a program in another language.
func TestGoldenRecords(t *testing.T) {
	e := tried(1, 1, "12", "replace-nozzle")
	e.ID = "01KE6C9P00AAAAAAAAAAAAAAAA"
	eventRec, err := encodeEvent(e)
	if err != nil {
		t.Fatal(err)
	}
	jobRec, err := encodeJob(jobRecord{seq: 258, job: kb.Job{ID: "12", Family: "oil-furnace", Opened: monday}})
	if err != nil {
		t.Fatal(err)
	}
	phraseRec, err := encodePhrase(phraseOf(phrase(1, 1, "Red  LIGHT", "locks-out", false)))
	if err != nil {
		t.Fatal(err)
	}
	golden := map[string]struct{ got, want []byte }{
		"event":     {eventRec, []byte("\x01\x57\xcc\xfa\x13" + `{"id":"01KE6C9P00AAAAAAAAAAAAAAAA","at":"2026-01-05T08:01:00Z","by":"kim","kind":"fix.tried","job":"12","v":1,"fix":"replace-nozzle"}`)},
		"job":       {jobRec, []byte("\x01\x7c\x7d\x5b\x9c" + "\x00\x00\x00\x00\x00\x00\x01\x02" + `{"job":"12","family":"oil-furnace","opened":"2026-01-05T08:00:00Z"}`)},
		"phrase":    {phraseRec, []byte("\x01\x46\xc6\x82\xff" + `{"family":"oil-furnace","symptom":"locks-out","phrase":"red light","chosen":1,"last":"2026-01-05T08:01:00Z"}`)},
		"seq key":   {seqKey(258), []byte("\x00\x00\x00\x00\x00\x00\x01\x02")},
		"job 12":    {jobKey("12"), []byte("\x01\x0212")},
		"job text":  {jobKey("A-12"), []byte("\x02A-12")},
		"byjob key": {withSeq(jobKey("12"), 3), []byte("\x01\x0212\x00\x00\x00\x00\x00\x00\x00\x00\x03")},
	}
	for name, g := range golden {
		if !bytes.Equal(g.got, g.want) {
			t.Errorf("%s = %q, want %q", name, g.got, g.want)
		}
	}
}

func TestDecodeRecordErrors(t *testing.T) {
	newer := append([]byte{2, 0, 0, 0, 0}, "{}"...)
	sum := crc32.Checksum([]byte("\x02{}"), castagnoli)
	newer[1], newer[2], newer[3], newer[4] = byte(sum>>24), byte(sum>>16), byte(sum>>8), byte(sum)
	tests := []struct {
		name string
		rec  []byte
		want string
	}{
		{"nothing", nil, "too short"},
		{"no checksum", []byte{1, 2, 3, 4}, "too short"},
		{"wrong checksum", []byte{1, 0, 0, 0, 0, '{', '}'}, "does not match"},
		{"newer", newer, "version 2"},
	}
	for _, tt := range tests {
		if _, err := decodeRecord(tt.rec); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: decodeRecord = %v, want %q", tt.name, err, tt.want)
		}
	}
	if _, err := decodeJob(encodeRecord([]byte("1234567"))); !errors.Is(err, errShort) {
		t.Errorf("decodeJob of a short record = %v", err)
	}
}

// FuzzDecodeRecord: no bytes make a decoder panic, and one changed bit is found.
func FuzzDecodeRecord(f *testing.F) {
	for _, e := range oneOfEach() {
		rec, err := encodeEvent(e)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(rec, uint16(77))
	}
	f.Add(encodeRecord(append(seqKey(7), `{"job":"1"}`...)), uint16(3))
	f.Fuzz(func(t *testing.T, rec []byte, bit uint16) {
		_, _ = decodeJob(rec)
		_, _ = decodePhrase(rec)
		if _, err := decodeEvent(rec); err != nil || len(rec) == 0 {
			return
		}
		changed := bytes.Clone(rec)
		changed[int(bit/8)%len(rec)] ^= 1 << (bit % 8)
		if _, err := decodeEvent(changed); err == nil {
			t.Fatalf("%q is taken after bit %d was changed", changed, bit)
		}
	})
}

func TestJobKeys(t *testing.T) {
	inOrder := []string{"0", "1", "9", "10", "11", "99", "100", "999999999999999999",
		"007", "1000000000000000000", "1a", "A-2", "job", "ö"}
	for i, id := range inOrder {
		key := jobKey(id)
		if got, ok := jobOf(key); !ok || got != id {
			t.Errorf("jobOf(jobKey(%q)) = %q, %v", id, got, ok)
		}
		if i > 0 && bytes.Compare(jobKey(inOrder[i-1]), key) >= 0 {
			t.Errorf("the key of %q does not come after that of %q", id, inOrder[i-1])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		id := rapid.StringMatching(`[0-9]{1,20}|[a-z0-9-]{1,8}`).Draw(t, "id")
		if got, ok := jobOf(jobKey(id)); !ok || got != id {
			t.Fatalf("jobOf(jobKey(%q)) = %q, %v", id, got, ok)
		}
	})
}
