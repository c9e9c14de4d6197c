package journal

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestEventJSON(t *testing.T) {
	// The envelope is the contract of design.md, section 7.
	e := reading(2, 2, "12", "flame-eye-resistance", 1650)
	e.ID = "01KE6C9P00AAAAAAAAAAAAAAAA"
	got, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"id":"01KE6C9P00AAAAAAAAAAAAAAAA","at":"2026-01-05T08:02:00Z","by":"kim","kind":"finding.recorded","job":"12","v":1,` +
		`"finding":{"kind":"check","id":"flame-eye-resistance","reading":1650,"minutes":4}}`
	if string(got) != want {
		t.Errorf("json.Marshal = %s, want %s", got, want)
	}
}

func TestEventRoundTrip(t *testing.T) {
	for _, e := range oneOfEach() {
		t.Run(string(e.Kind), func(t *testing.T) {
			text, err := json.Marshal(e)
			if err != nil {
				t.Fatal(err)
			}
			var got Event
			if err := json.Unmarshal(text, &got); err != nil {
				t.Fatal(err)
			}
			again, err := json.Marshal(got)
			if err != nil {
				t.Fatal(err)
			}
			if string(again) != string(text) {
				t.Errorf("written again: %s, want %s", again, text)
			}
			wantEqual(t, "event read back", got, e)
		})
	}
}

func TestEventKeepsUnknownFields(t *testing.T) {
	tests := []struct {
		name, in string
		want     []string // that must stand in what is written
		not      string
	}{
		{"of the event", `{"kind":"fix.tried","fix":"f","photo":{"b":1.50,"a":[null,"<x>"]}}`, []string{`"photo":{"a":[null,"\u003cx\u003e"],"b":1.50}`, `"fix":"f"`}, ""},
		{"of the finding", `{"kind":"finding.recorded","finding":{"id":"draft","outcome":"ok","gauge":"B2"}}`, []string{`"gauge":"B2"`, `"outcome":"ok"`}, ""},
		{"of the closing", `{"kind":"job.closed","closing":{"causes":["x"],"confidence":1,"signed":true}}`, []string{`"signed":true`, `"causes":["x"]`}, ""},
		{"a known name in other letters", `{"kind":"fix.tried","fix":"f","FIX":"g"}`, []string{`"fix":"f"`, `"FIX":"g"`}, ""},
		{"null", `{"kind":"fix.tried","later":null}`, []string{`"later":null`}, ""},
		{"no finding at all", `{"kind":"finding.recorded","finding":null}`, []string{`"kind"`}, "finding\":"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var e Event
			if err := json.Unmarshal([]byte(tt.in), &e); err != nil {
				t.Fatal(err)
			}
			got, err := json.Marshal(e)
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range tt.want {
				if !strings.Contains(string(got), want) {
					t.Errorf("written again: %s, want %s in it", got, want)
				}
			}
			if tt.not != "" && strings.Contains(string(got), tt.not) {
				t.Errorf("written again: %s, want no %s in it", got, tt.not)
			}
		})
	}
}

func TestExtraCannotReplaceKnownFields(t *testing.T) {
	e := found1(1, 1, "1", "draft", "ok")
	e.Extra = map[string]json.RawMessage{"job": []byte(`"2"`), "finding": []byte(`{"outcome":"low","note":"n"}`), "closing": []byte(`{"x":1}`)}
	text, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	var got Event
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	want := e
	want.Extra = map[string]json.RawMessage{"finding": []byte(`{"note":"n"}`)}
	wantEqual(t, "event read back", got, want)
}

func TestEventUnmarshalErrors(t *testing.T) {
	for name, in := range map[string]string{
		"not an object":        `[1]`,
		"null":                 `null`,
		"wrong kind of field":  `{"qty":"two"}`,
		"finding not object":   `{"finding":3}`,
		"not a time":           `{"at":"yesterday"}`,
		"number out of range":  `{"qty":1e999}`,
		"more after the event": `{} {}`,
	} {
		t.Run(name, func(t *testing.T) {
			var e Event
			if err := json.Unmarshal([]byte(in), &e); err == nil {
				t.Errorf("Unmarshal(%s) gave no error but %+v", in, e)
			}
		})
	}
}

// FuzzEventJSON: whatever is read can be written, and is then read as the same.
func FuzzEventJSON(f *testing.F) {
	for _, e := range oneOfEach() {
		text, err := json.Marshal(e)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(`{"at":"0000-01-01T00:00:00+23:59","x":{"Y":1e400},"finding":{"ID":"a","weights":{"a":1},"weights":{"b":0}}}`))
	f.Add([]byte(`{"job":"1","Job":"2","JOB":"3","change":[1,{"b":2,"a":1}],"closing":{"used":{},"extra":{}}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var e Event
		if json.Unmarshal(text, &e) != nil {
			return
		}
		first, err := json.Marshal(e)
		if err != nil {
			t.Fatalf("cannot be written: %v", err)
		}
		var again Event
		if err := json.Unmarshal(first, &again); err != nil {
			t.Fatalf("%s cannot be read back: %v", first, err)
		}
		second, err := json.Marshal(again)
		if err != nil {
			t.Fatal(err)
		}
		if string(first) != string(second) {
			t.Fatalf("first %s, then %s", first, second)
		}
		// Validate must cope with anything that can be read.
		if e.Validate() == nil {
			ready, err := prepare([]Event{e})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(ready[0].name(), e.name()); diff != "" {
				t.Fatal(diff)
			}
		}
	})
}
