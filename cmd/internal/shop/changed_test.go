package shop

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"sootsayer/kb"
	"sootsayer/kb/journal"
	"sootsayer/ranker"
)

// edited is a shop whose base is edited between two runs of the program.
type edited struct {
	*Shop
	t       testing.TB
	base    string // its folder
	store   string
	notices []string
	deaf    bool // no notices are heard
}

// waterHold is a hold that a result of a check begins.
const waterHold = `holds:
  - {id: wet, families: [oil-furnace], when: {check: tank-bottom, outcome: water}, keeps_back: all, until: {check: nozzle-look, outcome: ok}, says: Stop., basis: {kind: estimate}}
`

func openEdited(t testing.TB) *edited {
	t.Helper()
	text, err := os.ReadFile("testdata/base/small.yaml")
	if err != nil {
		t.Fatal(err)
	}
	e := &edited{t: t, base: t.TempDir(), store: t.TempDir()}
	e.write(string(text) + waterHold)
	e.open()
	t.Cleanup(func() { e.Close() })
	return e
}

func (e *edited) write(text string) {
	if err := os.WriteFile(filepath.Join(e.base, "base.yaml"), []byte(text), 0o600); err != nil {
		e.t.Fatal(err)
	}
}

func (e *edited) open() {
	e.t.Helper()
	cfg := Config{Store: e.store, Base: e.base, By: "ann", Write: true, Now: func() time.Time { return testNow }}
	if !e.deaf {
		cfg.Notice = func(text string) { e.notices = append(e.notices, text) }
	}
	s, err := Open(cfg)
	if err != nil {
		e.t.Fatal(err)
	}
	e.Shop = s
}

// edit ends the program, replaces texts of the base, old and new in turns, and
// starts it again.
func (e *edited) edit(pairs ...string) {
	e.t.Helper()
	if err := e.Close(); err != nil {
		e.t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(e.base, "base.yaml"))
	if err != nil {
		e.t.Fatal(err)
	}
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(string(text), pairs[i]) {
			e.t.Fatalf("the base does not hold %q", pairs[i])
		}
	}
	e.write(strings.NewReplacer(pairs...).Replace(string(text)))
	e.open()
}

// heard returns the notices given since it was last asked.
func (e *edited) heard() []string {
	e.t.Helper()
	if _, err := e.current(); err != nil {
		e.t.Fatal(err)
	}
	list := e.notices
	e.notices = nil
	return list
}

func (e *edited) changed() Changed {
	e.t.Helper()
	c, err := e.Changed(e.t.Context(), func(int) {})
	if err != nil {
		e.t.Fatal(err)
	}
	return c
}

const eyeJobs = header + `1,2024-10-02,2024-10-02,oil-furnace,,,,locks-out,eye-resistance=2000,,eye-sooted,1,,,
2,2024-10-03,2024-10-03,oil-furnace,,,,,eye-resistance=high,clean-eye,tank-water;eye-sooted,1,absorbent=2,,
3,2024-10-04,2024-10-04,gas-furnace,,,,,,,gas-valve-dead,1,,,
`

// TestChanged names what is gone by kind, with the jobs, the day and the line.
func TestChanged(t *testing.T) {
	e := openEdited(t)
	if _, said := importText(t, e.Shop, eyeJobs); len(said) > 0 {
		t.Fatal(said)
	}
	if d := cmp.Diff(Changed{Compared: 3, Gone: []Gone{}}, e.changed(), cmpopts.IgnoreUnexported(SomeJobs{})); d != "" {
		t.Error("before an edit (-want +got):\n", d)
	}
	chosen := e.journal.NewEvent(journal.KindPhraseChosen, "", "ann")
	chosen.Family, chosen.Phrase, chosen.Symptom = "oil-furnace", "it smokes", "smoke"
	received := e.journal.NewEvent(journal.KindPartReceived, "", "ann")
	received.Part, received.Qty = "nozzle-085", new(4.0)
	if _, err := e.journal.Append(chosen, received); err != nil {
		t.Fatal(err)
	}
	e.edit("eye-sooted", "eye-soot", "- {id: high,", "- {id: higher, was: [raised],", "{high: 0.8,", "{higher: 0.8,", "high: 0.02", "higher: 0.02",
		"{id: absorbent, name", "{id: drier, name", "part: absorbent", "part: drier", "clean-eye", "clean-eyes", "id: smoke\n", "id: smokes\n", "nozzle-085", "nozzle-any", "locks-out", "stops")
	day := func(d int) time.Time { return time.Date(2024, 10, d, 12, 0, 0, 0, time.UTC) }
	gone := func(kind, id string, jobs, d int, near, line string) Gone {
		return Gone{Missing: kb.Missing{Kind: kind, ID: id}, Jobs: jobs, Last: day(d), Nearest: near, Line: line}
	}
	outcome := gone(kb.KindOutcome, "high", 1, 3, "", "was: [high]")
	outcome.Of = "eye-resistance"
	spoken, stock := Gone{Missing: kb.Missing{Kind: kb.KindSymptom, ID: "smoke"}, Others: 1, Last: chosen.At, Nearest: "smokes", Line: "was: [smoke]"},
		Gone{Missing: kb.Missing{Kind: kb.KindPart, ID: "nozzle-085"}, Others: 1, Last: received.At, Nearest: "nozzle-any", Line: "was: [nozzle-085]"}
	want := Changed{Compared: 3, Jobs: 2, Uncounted: SomeJobs{Jobs: 1, Newest: []string{"1"}}, InPart: SomeJobs{Jobs: 1, Newest: []string{"2"}}, Gone: []Gone{
		gone(kb.KindCause, "eye-sooted", 2, 3, "eye-soot", "was: [eye-sooted]"),
		gone(kb.KindSymptom, "locks-out", 1, 2, "", "was: [locks-out]"), spoken, outcome,
		gone(kb.KindFix, "clean-eye", 1, 3, "clean-eyes", "was: [clean-eye]"),
		gone(kb.KindPart, "absorbent", 1, 3, "", "was: [absorbent]"), stock}}
	if d := cmp.Diff(want, e.changed(), cmpopts.IgnoreUnexported(SomeJobs{})); d != "" {
		t.Error("after it (-want +got):\n", d)
	}
}

// TestWasLine keeps the former ids that an entry has.
func TestWasLine(t *testing.T) {
	e := openEdited(t)
	e.edit("{id: eye-sooted, name", "{id: eye-sooted, was: [eye-dirty, eye-black], name", "{id: high, name", "{id: high, was: [raised], name")
	for _, c := range []struct {
		gone       kb.Missing
		near, line string
	}{
		{kb.Missing{Kind: kb.KindCause, ID: "eye-sotted"}, "eye-sooted", "was: [eye-dirty, eye-black, eye-sotted]"},
		{kb.Missing{Kind: kb.KindCause, ID: "pump"}, "", "was: [pump]"},
		{kb.Missing{Kind: kb.KindOutcome, ID: "higg", Of: "eye-resistance"}, "high", "was: [raised, higg]"},
		{kb.Missing{Kind: kb.KindOutcome, ID: "maybe", Of: "smoke"}, "", ""},
		{kb.Missing{Kind: kb.KindFamily, ID: "oil-furnaces"}, "oil-furnace", "was: [oil-furnaces]"},
		{kb.Missing{Kind: kb.KindSymptom, ID: "smokes"}, "smoke", "was: [smokes]"},
		{kb.Missing{Kind: kb.KindCheck, ID: "tank-bottoms"}, "tank-bottom", "was: [tank-bottoms]"},
		{kb.Missing{Kind: kb.KindFix, ID: "clean-eyes"}, "clean-eye", "was: [clean-eyes]"},
		{kb.Missing{Kind: kb.KindPart, ID: "nozzle-86"}, "nozzle-085", "was: [nozzle-86]"},
		{kb.Missing{Kind: kb.KindState, ID: "powr"}, "power", "was: [powr]"},
		{kb.Missing{Kind: kb.KindValue, ID: "of", Of: "power"}, "", ""},
		{kb.Missing{Kind: kb.KindReading, ID: "tank-bottom"}, "", ""},
		{kb.Missing{Kind: kb.KindCause, ID: "eye-sooted", Family: "gas-furnace"}, "", ""},
	} {
		if near, line := wasLine(e.Shop.base, c.gone); near != c.near || line != c.line {
			t.Errorf("%+v: near %q, line %q; want %q and %q", c.gone, near, line, c.near, c.line)
		}
	}
}

// TestToldOnce: the first command that counts anew says that something is gone,
// and no other does until something else is; nothing is lost on one that is not
// heard.
func TestToldOnce(t *testing.T) {
	e := openEdited(t)
	importText(t, e.Shop, eyeJobs)
	const two, one = "2 jobs name things the base no longer has; see: sootsayer base changed", "1 job names things the base no longer has; see: sootsayer base changed"
	for i, step := range []struct {
		edit []string
		want []string
		deaf bool
	}{
		{nil, nil, false},
		{[]string{"eye-sooted", "eye-dirty"}, []string{two}, false},
		{nil, nil, false},
		{[]string{"name: Smoke", "name: Much smoke"}, nil, false}, // the same is gone
		{[]string{"gas-valve-dead", "valve-dead"}, []string{"3" + two[1:]}, false},
		{[]string{"valve-dead,", "valve-dead, was: [gas-valve-dead],"}, []string{two}, false},
		{[]string{"eye-dirty,", "eye-dirty, was: [eye-sooted],"}, nil, false},
		{[]string{"was: [gas-valve-dead]", "was: [another-valve]"}, nil, true},
		{nil, []string{one}, false},
		{nil, nil, false},
	} {
		e.deaf = step.deaf
		e.edit(step.edit...)
		if d := cmp.Diff(step.want, e.heard()); d != "" {
			t.Errorf("step %d (-want +got):\n%s", i, d)
		}
	}
}

// TestEvidenceWithoutWhatIsGone: an open job is ranked without what the base no
// longer has, and says so.
func TestEvidenceWithoutWhatIsGone(t *testing.T) {
	e := openEdited(t)
	j, err := e.OpenJob(Complaint{Words: "it smokes", Family: "oil-furnace", Symptoms: []kb.Finding{{Kind: kb.KindSymptom, ID: "smoke", Outcome: kb.Yes}}})
	if err != nil {
		t.Fatal(err)
	}
	without, err := e.Believe(&j)
	if err != nil {
		t.Fatal(err)
	}
	if j, err = e.Record(j, kb.Finding{Kind: kb.KindCheck, ID: "nozzle-look", Outcome: "worn"}); err != nil {
		t.Fatal(err)
	}
	if j, err = e.SetState(j, map[string]string{"power": "off"}); err != nil {
		t.Fatal(err)
	}
	e.edit("{id: worn, name: worn}", "{id: used, name: worn}", "worn: 0.05", "used: 0.05", "id: power", "id: mains")
	if j, err = e.Job(j.ID); err != nil {
		t.Fatal(err)
	}
	got, err := e.Believe(&j)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.Believe(&j); err != nil { // says it once
		t.Fatal(err)
	}
	if d := cmp.Diff(without.Likeliest(4), got.Likeliest(4)); d != "" || without.Probability(0) != got.Probability(0) {
		t.Errorf("the belief is not that without what is gone: %s", d)
	}
	want := []string{"1 job names things the base no longer has; see: sootsayer base changed",
		`job 1: not counted, because the base no longer has it: outcome "worn" of nozzle-look, state power; if it was a sign of danger it still is one; see: sootsayer base changed`}
	slices.Sort(want)
	heard := e.heard()
	slices.Sort(heard)
	if d := cmp.Diff(want, heard); d != "" {
		t.Error("notices (-want +got):\n", d)
	}
	if c := e.changed(); c.Open != 1 || c.Jobs != 1 || c.Uncounted.Jobs+c.InPart.Jobs != 0 {
		t.Errorf("%+v; want one open job", c)
	}
	if len(j.Acts) != 3 {
		t.Errorf("%d acts are left of 3", len(j.Acts))
	}
}

// TestHoldOutlivesRenaming: a result that began a hold and is gone from the base
// keeps everything back until the check is done again, or the base says what the
// result is called today.
func TestHoldOutlivesRenaming(t *testing.T) {
	e := openEdited(t)
	j, err := e.OpenJob(Complaint{Words: "locks out", Family: "oil-furnace"})
	if err == nil {
		j, err = e.Record(j, kb.Finding{Kind: kb.KindCheck, ID: "tank-bottom", Outcome: "ok"}, kb.Finding{Kind: kb.KindCheck, ID: "tank-bottom", Outcome: "water"})
	}
	if err != nil {
		t.Fatal(err)
	}
	held := func() (n int) {
		t.Helper()
		if j, err = e.Job(j.ID); err != nil {
			t.Fatal(err)
		}
		b, err := e.Believe(&j)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range b.Rank(ranker.Options{}).Checks {
			if c.Held != nil {
				n++
			}
		}
		return n
	}
	before := held()
	if before == 0 {
		t.Fatal("the result does not begin the hold")
	}
	e.edit("outcome: water", "outcome: wet", "{id: water, name: water}", "{id: wet, name: water}", "water: 0.05", "wet: 0.05", "{water: 0.95}", "{wet: 0.95}")
	if j, err = e.Job(j.ID); err != nil {
		t.Fatal(err)
	}
	_, err = e.Believe(&j)
	if err == nil || !strings.Contains(err.Error(), `outcome "water" of tank-bottom is no longer in the base, and a safety hold depends on that check; do it again and record what you find: sootsayer job record 1 tank-bottom=RESULT`) {
		t.Fatalf("advice goes on past the hold: %v", err)
	}
	e.edit("{id: wet, name: water}", "{id: wet, was: [water], name: water}")
	if n := held(); n != before {
		t.Errorf("%d checks are held back with the former id, %d before", n, before)
	}
	e.edit("{id: wet, was: [water], name: water}", "{id: wet, name: water}")
	if j, err = e.Record(j, kb.Finding{Kind: kb.KindCheck, ID: "tank-bottom", Outcome: "wet"}); err != nil {
		t.Fatal(err)
	}
	if n := held(); n != before {
		t.Errorf("%d checks are held back after doing it again, %d before", n, before)
	}
}

// TestFamilyGone: nothing breaks over a job whose family is gone.
func TestFamilyGone(t *testing.T) {
	e := openEdited(t)
	importText(t, e.Shop, eyeJobs)
	j, err := e.OpenJob(Complaint{Words: "locks out", Family: "gas-furnace", Symptoms: []kb.Finding{{Kind: kb.KindSymptom, ID: "locks-out", Outcome: kb.Yes}}})
	if err != nil {
		t.Fatal(err)
	}
	e.edit("gas-furnace", "gas-burner")
	for _, family := range append(e.Families(), "gas-furnace") {
		if _, err := e.Priors(family, ""); err != nil {
			t.Errorf("priors of %s: %v", family, err)
		}
	}
	if _, err := e.Believe(&j); err == nil || err.Error() != `job 4 is of the family "gas-furnace", which the base no longer has; see: sootsayer base changed` {
		t.Errorf("belief: %v", err)
	}
	if _, err := e.TableChanges(); err != nil {
		t.Error(err)
	}
	if text := exportText(t, e.Shop); !strings.Contains(text, "gas-furnace") {
		t.Errorf("exported:\n%s", text)
	}
	if j, err = e.CloseJob(j, kb.Closing{Causes: []string{kb.Unlisted}, Confidence: 1}); err != nil {
		t.Error(err)
	}
	if c := e.changed(); c.Uncounted.Jobs != 2 || len(c.Gone) != 1 || c.Gone[0].ID != "gas-furnace" {
		t.Errorf("%+v", c)
	}
}

// TestManyGone: the report stays of one size however many jobs name however many
// things, and names the newest jobs.
func TestManyGone(t *testing.T) {
	e := openEdited(t)
	v := newSurvey(e.Shop.base)
	for i := range mostGone + 7 {
		v.take(&kb.Job{Family: "oil-furnace", Acts: []kb.Act{{Tried: fmt.Sprint("kick-", i)}}})
	}
	if len(v.things) != mostGone || v.more != 7 || v.jobs != mostGone+7 {
		t.Errorf("%d things, %d more, %d jobs", len(v.things), v.more, v.jobs)
	}
	var some SomeJobs
	for i := range 1000 {
		day := (i * 7) % 1000 // each day once
		some.add(&kb.Job{ID: fmt.Sprint(day), Closing: &kb.Closing{At: testNow.AddDate(0, 0, day)}})
		if len(some.at) > 2*mostNewest {
			t.Fatal("it grows with the jobs")
		}
	}
	some.done()
	if some.Jobs != 1000 || len(some.Newest) != mostNewest || some.Newest[0] != "999" || some.Newest[mostNewest-1] != "900" {
		t.Errorf("%d jobs, newest %v", some.Jobs, some.Newest)
	}
}

// TestChangedBrokenOff: it ends when it is told to.
func TestChangedBrokenOff(t *testing.T) {
	e := openEdited(t)
	importText(t, e.Shop, eyeJobs)
	ctx, stop := context.WithCancel(t.Context())
	c, err := e.Changed(ctx, func(jobs int) {
		if jobs == 2 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) || c.Compared != 2 {
		t.Errorf("after %d jobs: %v", c.Compared, err)
	}
}

// BenchmarkChanged compares many jobs with a base that lacks a cause of theirs,
// beside only reading them.
func BenchmarkChanged(b *testing.B) {
	const jobs = 2000
	e := openEdited(b)
	if _, said := importText(b, e.Shop, manyRows(jobs)); len(said) > 0 {
		b.Fatal(said)
	}
	e.edit("nozzle-plugged", "nozzle-blocked")
	b.Run(fmt.Sprintf("jobs=%d", jobs), func(b *testing.B) {
		for b.Loop() {
			if c := e.changed(); c.Compared != jobs {
				b.Fatal(c.Compared)
			}
		}
	})
	b.Run("reading-only", func(b *testing.B) {
		for b.Loop() {
			for _, err := range e.Journal().Jobs() {
				if err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}
