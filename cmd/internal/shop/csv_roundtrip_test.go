package shop

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"sootsayer/kb"
	"sootsayer/kb/journal"
)

// history draws what a shop may record: jobs with findings, doubts, tried
// fixes, states, withdrawals, parts booked late, closings and reopenings.
type history struct {
	t    *rapid.T
	base *kb.Base
	at   time.Time
	list []journal.Event
}

func drawHistory(t *rapid.T, b *kb.Base) []journal.Event {
	h := &history{t: t, base: b, at: time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)}
	for i := range rapid.IntRange(0, 6).Draw(t, "jobs") {
		h.job(fmt.Sprintf("%s%d", rapid.SampledFrom([]string{"", "A-", "old "}).Draw(t, "prefix"), i+1))
	}
	return h.list
}

// add records something a while later.
func (h *history) add(kind journal.Kind, job string) *journal.Event {
	h.at = h.at.Add(time.Duration(rapid.Int64Range(1, int64(40*time.Hour)).Draw(h.t, "later")))
	if rapid.Bool().Draw(h.t, "noon") {
		h.at = h.at.Truncate(24 * time.Hour).Add(36 * time.Hour)
	}
	h.list = append(h.list, journal.Event{ID: journal.EventIDFor(h.at, job, uint16(len(h.list))), At: h.at, By: "ann", Kind: kind, Job: job, V: journal.EventVersion})
	return &h.list[len(h.list)-1]
}

func (h *history) job(id string) {
	e := h.add(journal.KindJobOpened, id)
	e.Family = rapid.SampledFrom(h.base.IDs("families")).Draw(h.t, "family")
	e.Model = rapid.SampledFrom([]string{"", "m1", "m, 2"}).Draw(h.t, "model")
	e.Complaint = rapid.StringOf(rapid.SampledFrom([]rune("no heat,;\"'\r\n\t=ö\a "))).Draw(h.t, "complaint")
	if rapid.IntRange(0, 3).Draw(h.t, "callback") == 0 {
		e.CallbackOf = "99"
	}
	family := e.Family
	h.stretch(id, family)
	for range rapid.IntRange(0, 2).Draw(h.t, "again") {
		h.add(journal.KindJobReopened, id).Reason = rapid.SampledFrom([]string{"", "back", "back\nagain"}).Draw(h.t, "reason")
		h.stretch(id, family)
	}
	if rapid.IntRange(0, 5).Draw(h.t, "left open") == 0 {
		h.add(journal.KindJobReopened, id)
	}
}

// stretch is what is done from an opening to a closing.
func (h *history) stretch(id, family string) {
	for range rapid.IntRange(0, 6).Draw(h.t, "acts") {
		h.act(id, family)
		if rapid.IntRange(0, 7).Draw(h.t, "undo") == 0 {
			of := h.list[len(h.list)-1].ID
			h.add(journal.KindFindingWithdrawn, id).Of = of
		}
	}
	c := &kb.Closing{Confidence: rapid.SampledFrom([]float64{1, 0.8, 1.0 / 3}).Draw(h.t, "confidence"), Minutes: rapid.SampledFrom([]float64{0, 35, 12.25}).Draw(h.t, "minutes")}
	c.Causes = rapid.SliceOfNDistinct(rapid.SampledFrom(ClosingCauses(h.base, family)), 1, 2, rapid.ID[string]).Draw(h.t, "causes")
	c.OneOf = len(c.Causes) > 1 && rapid.Bool().Draw(h.t, "one of")
	switch rapid.IntRange(0, 2).Draw(h.t, "used") {
	case 1:
		c.Used = map[string]float64{}
	case 2:
		c.Used = map[string]float64{"absorbent": 2.5}
	}
	c.Fixes = rapid.SliceOfNDistinct(rapid.SampledFrom(h.base.IDs("fixes")), 0, 2, rapid.ID[string]).Draw(h.t, "fixes")
	c.FixMinutes = h.minutes()
	c.Note = rapid.StringOf(rapid.SampledFrom([]rune("mouse nest,;\"\r\n\t@|= "))).Draw(h.t, "note")
	h.add(journal.KindJobClosed, id).Closing = c
	if rapid.Bool().Draw(h.t, "booked late") {
		e := h.add(journal.KindPartUsed, id)
		e.Part, e.Qty = "nozzle-085", new(2.0)
	}
}

// minutes are stated now and then.
func (h *history) minutes() float64 {
	return rapid.SampledFrom([]float64{0, 0, 5, 7.25, 1.0 / 3}).Draw(h.t, "minutes")
}

func (h *history) act(id, family string) {
	var symptoms []string
	for i := range h.base.Symptoms {
		if kb.In(h.base.Symptoms[i].Families, family) {
			symptoms = append(symptoms, h.base.Symptoms[i].ID)
		}
	}
	var checks []*kb.Check
	for i := range h.base.Checks {
		if kb.In(h.base.Checks[i].Families, family) {
			checks = append(checks, &h.base.Checks[i])
		}
	}
	switch rapid.IntRange(0, 4).Draw(h.t, "act") {
	case 0:
		f := kb.Finding{Kind: kb.KindSymptom, ID: rapid.SampledFrom(symptoms).Draw(h.t, "symptom")}
		f.Outcome, f.Minutes = rapid.SampledFrom([]string{kb.Yes, kb.No}).Draw(h.t, "answer"), h.minutes()
		h.add(journal.KindFindingRecorded, id).Finding = &f
	case 1:
		e := h.add(journal.KindFixTried, id)
		e.Fix, e.Minutes = rapid.SampledFrom(h.base.IDs("fixes")).Draw(h.t, "fix"), h.minutes()
	case 2:
		h.add(journal.KindStateChanged, id).State = map[string]string{"power": "off"}
	default:
		f := h.found(rapid.SampledFrom(checks).Draw(h.t, "check"))
		f.Minutes = h.minutes()
		h.add(journal.KindFindingRecorded, id).Finding = &f
	}
}

// found is a reading, an outcome, or a doubt between two.
func (h *history) found(c *kb.Check) kb.Finding {
	f := kb.Finding{Kind: kb.KindCheck, ID: c.ID}
	switch i := rapid.IntRange(0, len(c.Outcomes)).Draw(h.t, "outcome"); {
	case i < len(c.Outcomes):
		f.Outcome = c.Outcomes[i].ID
	case c.Reading != nil:
		f.Reading = new(rapid.Float64Range(0, 1e7).Draw(h.t, "reading"))
	default:
		p := rapid.Float64Range(0, 1).Draw(h.t, "chance")
		f.Weights = map[string]float64{c.Outcomes[0].ID: p, c.Outcomes[1].ID: 1 - p}
	}
	return f
}

// TestRoundTrip: what is exported with all columns and imported into a new store
// gives the same jobs, as far as the columns go, and teaches the same.
func TestRoundTrip(t *testing.T) {
	dir := t.TempDir()
	stores := 0
	open := func() *Shop {
		stores++
		s, _ := openSmall(t, fmt.Sprintf("%s/%d", dir, stores))
		return s
	}
	base := open().Base()
	rapid.Check(t, func(rt *rapid.T) {
		events := drawHistory(rt, base)
		from := open()
		if _, err := from.journal.Append(events...); err != nil {
			rt.Fatal(err)
		}
		text := exportAll(t, from)
		to := open()
		did, said := importText(t, to, text)
		if did.Bad > 0 || did.Already > 0 {
			rt.Fatalf("%+v %q of:\n%s", did, said, text)
		}
		if diff := cmp.Diff(text, exportAll(t, to)); diff != "" {
			rt.Errorf("exported again (-first +second):\n%s", diff)
		}
		if diff := cmp.Diff(numbersOf(t, from), numbersOf(t, to), cmpopts.EquateApprox(1e-12, 1e-12)); diff != "" {
			rt.Errorf("learned (-from the jobs +from the file):\n%s\nof:\n%s", diff, text)
		}
		if diff := cmp.Diff(plainJobs(rt, from), plainJobs(rt, to)); diff != "" {
			rt.Errorf("jobs (-exported +imported):\n%s", diff)
		}
		if again, said := importText(t, from, text); again.Already != did.Rows || again.Bad > 0 {
			rt.Errorf("imported where it came from: %+v %q", again, said)
		}
		if again, said := importText(t, from, exportText(t, from)); again.Already != did.Rows || again.Bad > 0 {
			rt.Errorf("imported where it came from, less the columns that may be left out: %+v %q", again, said)
		}
		from.Close()
		to.Close()
	})
}

// numbersOf is what the shop learned. The file puts symptoms before checks, and
// sums of their evidence differ in the last digit by their order.
func numbersOf(t testing.TB, s *Shop) (numbers any) {
	t.Helper()
	if err := json.Unmarshal([]byte(countsOf(t, s)), &numbers); err != nil {
		t.Fatal(err)
	}
	return numbers
}

// plainJobs are the closed jobs less what the columns do not hold: who, notes,
// how the equipment stood, and the times of single acts. Up to the first tried
// fix of a stretch symptoms come before checks.
func plainJobs(t *rapid.T, s *Shop) []kb.Job {
	var jobs []kb.Job
	for j, err := range s.journal.Jobs() {
		if err != nil {
			t.Fatal(err)
		}
		if !j.Closed() {
			continue
		}
		j.By, j.Complaint = "", plainText(j.Complaint)
		for i := range j.Past {
			j.Past[i].By, j.Past[i].Note = "", plainText(j.Past[i].Note)
		}
		j.Closing.By, j.Closing.Note = "", plainText(j.Closing.Note)
		j.Acts = plainActs(j.Acts, j.Past)
		jobs = append(jobs, j)
	}
	return jobs
}

func plainActs(acts []kb.Act, past []kb.Closing) []kb.Act {
	var out []kb.Act
	from, tried := 0, false
	sortStretch := func() {
		part := out[from:]
		if end := slices.IndexFunc(part, func(a kb.Act) bool { return a.Tried != "" }); end >= 0 {
			part = part[:end]
		}
		slices.SortStableFunc(part, func(a, b kb.Act) int {
			rank := map[string]int{kb.KindSymptom: 0, kb.KindCheck: 1}
			return rank[a.Finding.Kind] - rank[b.Finding.Kind]
		})
		from, tried = len(out), false
	}
	for _, a := range acts {
		for len(past) > 0 && a.At.After(past[0].At) {
			sortStretch()
			past = past[1:]
		}
		if a.State != nil {
			continue
		}
		tried = tried || a.Tried != ""
		out = append(out, kb.Act{Finding: a.Finding, Tried: a.Tried, Minutes: a.Minutes})
	}
	sortStretch()
	return out
}
