package journal

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

// brief is a folded job in short: its acts by event, its closings by causes
// and parts.
type brief struct {
	Family  string
	Acts    []string
	Closing *short
	Past    []short
	Loose   []string
}

type short struct {
	Cause string
	Used  map[string]float64
}

func briefOf(events []Event) brief {
	job, loose := foldJob(events)
	b := brief{Family: job.Family}
	for _, a := range job.Acts {
		b.Acts = append(b.Acts, a.Event)
	}
	if job.Closing != nil {
		b.Closing = &short{job.Closing.Causes[0], job.Closing.Used}
	}
	for _, c := range job.Past {
		b.Past = append(b.Past, short{c.Causes[0], c.Used})
	}
	for _, e := range loose {
		b.Loose = append(b.Loose, e.ID)
	}
	return b
}

func TestFoldJob(t *testing.T) {
	open := opened(0, 0, "1", "oil-furnace")
	one := map[string]float64{"nozzle": 1}
	tests := []struct {
		name   string
		events []Event
		want   brief
	}{
		{"open", []Event{open, found1(1, 1, "1", "draft", "ok"), state(2, 2, "1", "power", "off"), tried(3, 3, "1", "replace-nozzle")},
			brief{Acts: []string{id(1, 1), id(2, 2), id(3, 3)}}},
		{"same minute, order of ids", []Event{open, tried(9, 1, "1", "b"), tried(3, 1, "1", "a")},
			brief{Acts: []string{id(3, 1), id(9, 1)}}},
		{"the same event twice", []Event{open, tried(1, 1, "1", "a"), open, tried(1, 1, "1", "a")},
			brief{Acts: []string{id(1, 1)}}},
		{"opened twice", []Event{open, opened(5, 5, "1", "gas-furnace")}, brief{}},
		{"finding, fix and state withdrawn", []Event{open, found1(1, 1, "1", "draft", "ok"), tried(2, 2, "1", "a"), state(3, 3, "1", "power", "off"), tried(4, 4, "1", "b"),
			withdrawn(5, 5, "1", id(1, 1)), withdrawn(6, 6, "1", id(2, 2)), withdrawn(7, 7, "1", id(3, 3))},
			brief{Acts: []string{id(4, 4)}}},
		{"withdrawn by a clock that is behind", []Event{open, withdrawn(1, 1, "1", id(2, 2)), tried(2, 2, "1", "a")}, brief{}},
		{"withdrawn after closing", []Event{open, tried(1, 1, "1", "a"), closed(2, 2, "1", nil, "x"), withdrawn(3, 3, "1", id(1, 1))},
			brief{Closing: &short{"x", nil}}},
		{"a withdrawal is not withdrawn", []Event{open, tried(1, 1, "1", "a"), withdrawn(2, 2, "1", id(1, 1)), withdrawn(3, 3, "1", id(2, 2))}, brief{}},
		{"the opening is not withdrawn", []Event{open, withdrawn(1, 1, "1", id(0, 0))}, brief{}},
		{"what nobody recorded is withdrawn", []Event{open, withdrawn(1, 1, "1", id(8, 8)), tried(2, 2, "1", "a")}, brief{Acts: []string{id(2, 2)}}},
		{"closing withdrawn", []Event{open, closed(1, 1, "1", one, "x"), tried(2, 2, "1", "a"), withdrawn(3, 3, "1", id(1, 1))},
			brief{Acts: []string{id(2, 2)}}},
		{"reopening withdrawn", []Event{open, closed(1, 1, "1", nil, "x"), reopened(2, 2, "1"), withdrawn(3, 3, "1", id(2, 2))},
			brief{Closing: &short{"x", nil}}},
		{"acts on a closed job", []Event{open, closed(1, 1, "1", nil, "x"), found1(2, 2, "1", "draft", "ok"), reopened(3, 3, "1"), tried(4, 4, "1", "a")},
			brief{Acts: []string{id(4, 4)}, Past: []short{{"x", nil}}}},
		{"closed, reopened, twice over", []Event{open, closed(1, 1, "1", one, "x"), reopened(2, 2, "1"), closed(3, 3, "1", nil, "y"), reopened(4, 4, "1"), closed(5, 5, "1", one, "z")},
			brief{Closing: &short{"z", one}, Past: []short{{"x", one}, {"y", nil}}}},
		{"closing corrected", []Event{open, part(1, 1, KindPartUsed, "1", "gasket", 1), closed(2, 2, "1", one, "x"), closed(3, 3, "1", nil, "y")},
			brief{Closing: &short{"y", map[string]float64{"gasket": 1}}}},
		{"reopened while open", []Event{open, reopened(1, 1, "1"), tried(2, 2, "1", "a")}, brief{Acts: []string{id(2, 2)}}},
		{"parts booked before and after closing", []Event{open, part(1, 1, KindPartUsed, "1", "nozzle", 2), closed(2, 2, "1", one, "x"), part(3, 3, KindPartUsed, "1", "gasket", 1)},
			brief{Closing: &short{"x", map[string]float64{"nozzle": 3, "gasket": 1}}}},
		{"parts put back", []Event{open, part(1, 1, KindPartUsed, "1", "nozzle", 2), part(2, 2, KindPartUsed, "1", "nozzle", -2), closed(3, 3, "1", nil, "x")},
			brief{Closing: &short{"x", nil}}},
		{"parts of two stretches", []Event{open, part(1, 1, KindPartUsed, "1", "nozzle", 1), closed(2, 2, "1", nil, "x"), reopened(3, 3, "1"), part(4, 4, KindPartUsed, "1", "nozzle", 5)},
			brief{Past: []short{{"x", one}}, Loose: []string{id(4, 4)}}},
		{"part withdrawn", []Event{open, part(1, 1, KindPartUsed, "1", "nozzle", 1), withdrawn(2, 2, "1", id(1, 1)), closed(3, 3, "1", nil, "x")},
			brief{Closing: &short{"x", nil}}},
		{"counted and received are not used", []Event{open, part(1, 1, KindPartCounted, "1", "nozzle", 4), part(2, 2, KindPartReceived, "1", "nozzle", 5), closed(3, 3, "1", nil, "x")},
			brief{Closing: &short{"x", nil}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.want.Family = "oil-furnace"
			if diff := cmp.Diff(tt.want, briefOf(tt.events)); diff != "" {
				t.Errorf("FoldJob (-want +got):\n%s", diff)
			}
			slices.Reverse(tt.events)
			if diff := cmp.Diff(tt.want, briefOf(tt.events)); diff != "" {
				t.Errorf("FoldJob of the events in reverse (-want +got):\n%s", diff)
			}
		})
	}
}

func TestFoldJobWhole(t *testing.T) {
	open := opened(1, 1, "12", "oil-furnace")
	open.Model, open.Appliance, open.CallbackOf = "model-a", "unit-7", "9"
	measured := reading(2, 2, "12", "flame-eye-resistance", 1650)
	done := closed(3, 3, "12", map[string]float64{"nozzle": 1}, "nozzle-plugged")
	done.By = "lee"
	want := kb.Job{ID: "12", Family: "oil-furnace", Model: "model-a", Appliance: "unit-7", Complaint: "no heat",
		Opened: at(1), By: "kim", CallbackOf: "9",
		Acts: []kb.Act{{Event: measured.ID, At: at(2), By: "kim",
			Finding: &kb.Finding{Kind: kb.KindCheck, ID: "flame-eye-resistance", Reading: new(1650.0), Minutes: 4}}},
		Closing: &kb.Closing{At: at(3), By: "lee", Causes: []string{"nozzle-plugged"}, Confidence: 0.9, Used: map[string]float64{"nozzle": 1}}}
	got := FoldJob([]Event{done, measured, open})
	wantEqual(t, "FoldJob", got, want)

	// The job shares nothing with the events.
	*got.Acts[0].Finding.Reading = 0
	got.Closing.Used["nozzle"] = 99
	got.Closing.Causes[0] = "other"
	wantEqual(t, "FoldJob after the first result was changed", FoldJob([]Event{done, measured, open}), want)
}

func TestFoldJobNeverOpened(t *testing.T) {
	got := FoldJob([]Event{tried(1, 1, "12", "a")})
	want := kb.Job{ID: "12", Acts: []kb.Act{{Event: id(1, 1), At: at(1), By: "kim", Tried: "a"}}}
	wantEqual(t, "FoldJob without an opening", got, want)
	wantEqual(t, "FoldJob of nothing", FoldJob(nil), kb.Job{})
}

func TestPhraseCounts(t *testing.T) {
	counts := make(map[string]Phrase)
	for _, e := range []Event{
		phrase(1, 1, "Red light comes on", "locks-out", false),
		phrase(2, 9, " red   LIGHT comes on", "locks-out", false),
		phrase(3, 3, "red light comes on", "locks-out", true),
		phrase(4, 4, "red light comes on", "no-heat", true),
		tried(5, 5, "1", "a"),
	} {
		foldPhrases(counts, e)
	}
	want := map[string]Phrase{
		"oil-furnace\x00locks-out\x00red light comes on": {Family: "oil-furnace", Symptom: "locks-out", Phrase: "red light comes on", Chosen: 2, Withdrawn: 1, Last: at(9)},
		"oil-furnace\x00no-heat\x00red light comes on":   {Family: "oil-furnace", Symptom: "no-heat", Phrase: "red light comes on", Withdrawn: 1, Last: at(4)},
	}
	wantEqual(t, "phrases", counts, want)
	for key, times := range map[string]int{"oil-furnace\x00locks-out\x00red light comes on": 1, "oil-furnace\x00no-heat\x00red light comes on": 0} {
		if got := counts[key].Times(); got != times {
			t.Errorf("Times of %q = %d, want %d", key, got, times)
		}
	}
}
