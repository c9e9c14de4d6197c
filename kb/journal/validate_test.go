package journal

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"sootsayer/kb"
)

func TestValidateAccepts(t *testing.T) {
	kinds := make(map[Kind]bool)
	for _, e := range oneOfEach() {
		kinds[e.Kind] = true
		if err := e.Validate(); err != nil {
			t.Errorf("%s: %v", e.Kind, err)
		}
	}
	for _, k := range Kinds() {
		if !kinds[k] {
			t.Errorf("no example of kind %s", k)
		}
	}
	unsure := found1(1, 1, "1", "draft", "")
	unsure.Finding.Weights = map[string]float64{"low": 0.7, "ok": 0.3}
	back := part(2, 2, KindPartUsed, "1", "nozzle", -1)
	unlisted := closed(3, 3, "1", nil, kb.Unlisted)
	none := part(4, 4, KindPartUsed, "", "nozzle", 0)
	cancelled := part(5, 5, KindPartOrdered, "", "nozzle", -3)
	for _, e := range []Event{unsure, back, unlisted, none, cancelled} {
		if err := e.Validate(); err != nil {
			t.Errorf("%s: %v", e.Kind, err)
		}
	}
}

func TestValidateRefuses(t *testing.T) {
	finding := func(f kb.Finding) func(*Event) { return func(e *Event) { e.Finding = &f } }
	closing := func(change func(*kb.Closing)) func(*Event) {
		return func(e *Event) {
			c := *e.Closing
			change(&c)
			e.Closing = &c
		}
	}
	nan := math.NaN()
	tests := []struct {
		name   string
		kind   Kind
		change func(*Event)
		want   string
	}{
		{"unknown kind", KindFixTried, func(e *Event) { e.Kind = "fix.guessed" }, `kind "fix.guessed" is not known`},
		{"missing job", KindFixTried, func(e *Event) { e.Job = "" }, "job is missing"},
		{"job with a zero byte", KindFixTried, func(e *Event) { e.Job = "1\x002" }, "control character"},
		{"job with a space", KindFixTried, func(e *Event) { e.Job = "1 " }, "begins or ends with a space"},
		{"job that is not text", KindFixTried, func(e *Event) { e.Job = "\xff" }, "not UTF-8"},
		{"job too long", KindFixTried, func(e *Event) { e.Job = strings.Repeat("x", 201) }, "keep it to 200"},
		{"bad id", KindFixTried, func(e *Event) { e.ID = "17" }, "not a ULID"},
		{"id in small letters", KindFixTried, func(e *Event) { e.ID = strings.ToLower(e.ID) }, "not a ULID in capitals"},
		{"no time", KindFixTried, func(e *Event) { e.At = time.Time{} }, "at is in the year 1;"},
		{"no version", KindFixTried, func(e *Event) { e.V = 0 }, "v is 0"},
		{"no fix", KindFixTried, func(e *Event) { e.Fix = "" }, "fix is missing"},
		{"no family", KindJobOpened, func(e *Event) { e.Family = "" }, "family is missing"},
		{"callback of itself", KindJobOpened, func(e *Event) { e.CallbackOf = e.Job }, "the job itself"},
		{"no finding", KindFindingRecorded, func(e *Event) { e.Finding = nil }, "finding is missing"},
		{"empty finding", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, ID: "draft"}), "0 of outcome, reading and weights"},
		{"two of them", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, ID: "draft", Outcome: "low", Reading: new(-0.01)}), "2 of outcome"},
		{"no check", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, Outcome: "low"}), "finding.id is missing"},
		{"no kind of finding", KindFindingRecorded, finding(kb.Finding{ID: "draft", Outcome: "low"}), `finding.kind is ""`},
		{"reading not a number", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, ID: "draft", Reading: &nan}), "not a number"},
		{"endless minutes", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, ID: "draft", Outcome: "low", Minutes: math.Inf(1)}), "finding.minutes is +Inf"},
		{"weights too small", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, ID: "draft", Weights: map[string]float64{"low": 0.7}}), "sum to 0.7"},
		{"weight above 1", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, ID: "draft", Weights: map[string]float64{"low": 1.5, "ok": -0.5}}), "give a chance from 0 to 1"},
		{"weight not a number", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindCheck, ID: "draft", Weights: map[string]float64{"low": nan}}), "is NaN"},
		{"symptom neither yes nor no", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindSymptom, ID: "smoke", Outcome: "maybe"}), "yes or no"},
		{"symptom with a reading", KindFindingRecorded, finding(kb.Finding{Kind: kb.KindSymptom, ID: "smoke", Reading: new(1.0)}), "a symptom has no reading"},
		{"withdrawn without of", KindFindingWithdrawn, func(e *Event) { e.Of = "" }, `of is ""`},
		{"withdraws itself", KindFindingWithdrawn, func(e *Event) { e.Of = e.ID }, "the event itself"},
		{"no state", KindStateChanged, func(e *Event) { e.State = nil }, "state is missing"},
		{"state without value", KindStateChanged, func(e *Event) { e.State = map[string]string{"power": ""} }, "state.power is missing"},
		{"no closing", KindJobClosed, func(e *Event) { e.Closing = nil }, "closing is missing"},
		{"no cause", KindJobClosed, closing(func(c *kb.Closing) { c.Causes = nil }), "or unlisted"},
		{"cause twice", KindJobClosed, closing(func(c *kb.Closing) { c.Causes = []string{"a", "b", "a"} }), `names "a" twice`},
		{"no confidence", KindJobClosed, closing(func(c *kb.Closing) { c.Confidence = 0 }), "above 0 and up to 1"},
		{"confidence not a number", KindJobClosed, closing(func(c *kb.Closing) { c.Confidence = nan }), "is NaN"},
		{"pieces below 0", KindJobClosed, closing(func(c *kb.Closing) { c.Used = map[string]float64{"nozzle": -1} }), "gives -1 pieces"},
		{"closed long ago", KindJobClosed, closing(func(c *kb.Closing) { c.At = time.Date(1066, 10, 14, 0, 0, 0, 0, time.UTC) }), "year 1066"},
		{"no phrase", KindPhraseChosen, func(e *Event) { e.Phrase = " \n" }, "phrase is missing"},
		{"no symptom", KindPhraseChosen, func(e *Event) { e.Symptom = "" }, "symptom is missing"},
		{"no part", KindPartUsed, func(e *Event) { e.Part = "" }, "part is missing"},
		{"no pieces", KindPartReceived, func(e *Event) { e.Qty = nil }, "qty is missing"},
		{"zero pieces used", KindPartUsed, func(e *Event) { e.Qty = new(0.0) }, "qty is 0"},
		{"count below 0", KindPartCounted, func(e *Event) { e.Qty = new(-1.0) }, "cannot be below 0"},
		{"pieces not a number", KindPartCounted, func(e *Event) { e.Qty = &nan }, "qty is not a number"},
		{"nothing ordered", KindPartOrdered, func(e *Event) { e.Qty = new(0.0) }, "qty is 0"},
		{"nothing moved", KindPartMoved, func(e *Event) { e.Qty = new(0.0) }, "qty is 0"},
		{"moved backwards", KindPartMoved, func(e *Event) { e.Qty = new(-2.0) }, "qty is -2; move the pieces the other way"},
		{"moved from nowhere", KindPartMoved, func(e *Event) { e.Place = "" }, "place is missing"},
		{"moved to nowhere", KindPartMoved, func(e *Event) { e.To = "" }, "to is missing"},
		{"moved to where it is", KindPartMoved, func(e *Event) { e.To = e.Place }, "to is the place itself"},
		{"place with a space", KindJobClosed, closing(func(c *kb.Closing) { c.From = "truck 1 " }), "closing.from"},
		{"no appliance", KindApplianceAdded, func(e *Event) { e.Appliance = "" }, "appliance is missing"},
		{"no change", KindBaseChanged, func(e *Event) { e.Change = nil }, "change is not JSON"},
		{"broken change", KindBaseChanged, func(e *Event) { e.Change = []byte(`{"a":`) }, "change is not JSON"},
		{"broken extra", KindFixTried, func(e *Event) { e.Extra = map[string]json.RawMessage{"x": []byte("{")} }, `"x" is not JSON`},
		{"extra of a finding", KindFindingRecorded, func(e *Event) { e.Extra = map[string]json.RawMessage{"finding": []byte("1")} }, "not a JSON object"},
	}
	examples := make(map[Kind]Event)
	for _, e := range oneOfEach() {
		examples[e.Kind] = e
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			e := examples[tt.kind]
			tt.change(&e)
			err := e.Validate()
			if !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("Validate = %v, want ErrInvalid with %q", err, tt.want)
			}
		})
	}
}

func TestValidateRefusesNewer(t *testing.T) {
	e := tried(1, 1, "12", "replace-nozzle")
	e.V = 2
	err := e.Validate()
	want := `event "` + e.ID + `" (fix.tried) of job "12" was written by a newer sootsayer (event version 2, this one takes up to 1); update sootsayer`
	if !errors.Is(err, ErrNewer) || err.Error() != want {
		t.Errorf("Validate = %v, want %s", err, want)
	}
}
