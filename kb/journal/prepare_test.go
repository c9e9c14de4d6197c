package journal

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// TestPreparedAsReadBack: whatever is in an event, what goes to the disk and what
// is folded now are what is read from the disk later, and writing that again
// changes nothing.
func TestPreparedAsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"caf\xe9", `\ufffd`, "\ufffd", "<a&b>\u2028", "a\x00b"}))
		at := time.Date(2024, 10, 2, 8, 0, 0, 0, time.UTC)
		e := Event{ID: EventIDFor(at, "test", 1), At: at, Kind: KindJobOpened, Job: "1", V: EventVersion, Family: "oil-furnace", Complaint: text.Draw(t, "complaint")}
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 1:
			e.Kind, e.Closing = KindJobClosed, &kb.Closing{Causes: []string{"x"}, Confidence: 1, Note: text.Draw(t, "note"), Used: map[string]float64{}}
		case 2:
			change, err := json.Marshal(map[string]string{"b": text.Draw(t, "change"), "a": ""})
			if err != nil {
				t.Fatal(err)
			}
			e.Kind, e.Change = KindBaseChanged, append([]byte(" "), change...)
		case 3:
			e.Extra = map[string]json.RawMessage{"later": json.RawMessage(`{"b":1.0, "a":"` + "\xe9" + `"}`)}
		}
		ready, err := prepare([]Event{e})
		if err != nil {
			t.Skip(err)
		}
		read, err := decodeEvent(ready[0].rec)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(read, ready[0].Event); diff != "" {
			t.Fatalf("event (-read +prepared):\n%s", diff)
		}
		again, err := encodeEvent(read.normalized())
		if err != nil || !bytes.Equal(again, ready[0].rec) {
			t.Fatalf("written %q, read and written again %q, error %v", ready[0].rec, again, err)
		}
	})
}

// TestPrepareManyInOrder: shared out to processors or not, events stay in order,
// and the first bad one is named.
func TestPrepareManyInOrder(t *testing.T) {
	events := jobEvents(200)
	ready, err := prepare(events)
	if err != nil {
		t.Fatal(err)
	}
	for i := range ready {
		if ready[i].ID != events[i].ID {
			t.Fatalf("event %d is %s, want %s", i, ready[i].ID, events[i].ID)
		}
	}
	for _, bad := range []int{3999, 2500, 7} {
		events[bad].V = 0
		events[bad].By = fmt.Sprint("nobody ", bad)
		_, err := prepare(events)
		if want := fmt.Sprintf("event %q", events[bad].ID); err == nil || !bytes.Contains([]byte(err.Error()), []byte(want)) {
			t.Errorf("error %v, want one of %s", err, want)
		}
	}
}
