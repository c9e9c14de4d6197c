package journal

import (
	"maps"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// stretchBrief is a stretch in short.
type stretchBrief struct {
	Cause, Event string
	Stated       map[string]float64
	Booked       []string
}

func stretchBriefs(events []Event) []stretchBrief {
	var out []stretchBrief
	for _, s := range Stretches(events) {
		b := stretchBrief{Event: s.Event}
		if s.Closing != nil {
			b.Cause, b.Stated = s.Closing.Causes[0], s.Closing.Used
		}
		for _, e := range s.Booked {
			b.Booked = append(b.Booked, e.ID)
		}
		out = append(out, b)
	}
	return out
}

func TestStretches(t *testing.T) {
	open := opened(0, 0, "1", "oil-furnace")
	one := map[string]float64{"nozzle": 1}
	for _, tt := range []struct {
		name   string
		events []Event
		want   []stretchBrief
	}{
		{"open", []Event{open, tried(1, 1, "1", "a")}, nil},
		{"open with parts booked", []Event{open, part(1, 1, KindPartUsed, "1", "nozzle", 1)}, []stretchBrief{{Booked: []string{id(1, 1)}}}},
		{"stated and booked are kept apart", []Event{open, part(1, 1, KindPartUsed, "1", "nozzle", 2), closed(2, 2, "1", one, "x"), part(3, 3, KindPartUsed, "1", "gasket", 1)},
			[]stretchBrief{{"x", id(2, 2), one, []string{id(1, 1), id(3, 3)}}}},
		{"corrected", []Event{open, closed(1, 1, "1", one, "x"), closed(2, 2, "1", nil, "y")}, []stretchBrief{{"y", id(2, 2), nil, nil}}},
		{"opened again", []Event{open, closed(1, 1, "1", one, "x"), reopened(2, 2, "1"), part(3, 3, KindPartUsed, "1", "gasket", 1), closed(4, 4, "1", nil, "y")},
			[]stretchBrief{{"x", id(1, 1), one, nil}, {"y", id(4, 4), nil, []string{id(3, 3)}}}},
		{"opened again and open", []Event{open, closed(1, 1, "1", one, "x"), reopened(2, 2, "1")}, []stretchBrief{{"x", id(1, 1), one, nil}}},
		{"closing and part withdrawn", []Event{open, part(1, 1, KindPartUsed, "1", "nozzle", 2), closed(2, 2, "1", one, "x"), withdrawn(3, 3, "1", id(2, 2)), withdrawn(4, 4, "1", id(1, 1))}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, stretchBriefs(tt.events)); diff != "" {
				t.Errorf("Stretches (-want +got):\n%s", diff)
			}
			slices.Reverse(tt.events)
			if diff := cmp.Diff(tt.want, stretchBriefs(tt.events)); diff != "" {
				t.Errorf("Stretches of the events in reverse (-want +got):\n%s", diff)
			}
		})
	}
}

// TestStretchesAreTheJob: what the stretches state and what is booked in them
// is what the closings of the folded job count.
func TestStretchesAreTheJob(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		events := anyEvents(t, []string{"1"}, 40)
		events = slices.DeleteFunc(events, func(e Event) bool { return e.Job == "" })
		job, loose := foldJob(events)
		closings := slices.Clone(job.Past)
		if job.Closing != nil {
			closings = append(closings, *job.Closing)
		}
		stretches := Stretches(events)
		if n := len(stretches); n > 0 && stretches[n-1].Closing == nil {
			if diff := cmp.Diff(loose, stretches[n-1].Booked); diff != "" {
				t.Fatalf("booked on the open job (-fold +stretch):\n%s", diff)
			}
			stretches = stretches[:n-1]
		} else if len(loose) > 0 {
			t.Fatal("the open stretch is missing")
		}
		if len(stretches) != len(closings) {
			t.Fatalf("%d stretches, %d closings", len(stretches), len(closings))
		}
		for i, s := range stretches {
			used := maps.Clone(s.Closing.Used)
			if used == nil {
				used = make(map[string]float64)
			}
			for _, e := range s.Booked {
				used[e.Part] += *e.Qty
			}
			maps.DeleteFunc(used, func(_ string, n float64) bool { return n == 0 })
			want := maps.Clone(closings[i].Used)
			if want == nil {
				want = map[string]float64{}
			}
			if diff := cmp.Diff(want, used); diff != "" || !s.Closing.At.Equal(closings[i].At) {
				t.Fatalf("stretch %d (-fold +stretch):\n%s", i, diff)
			}
		}
	})
}
