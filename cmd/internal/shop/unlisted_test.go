package shop

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

// nestBase is the small invented base with a cause added to it.
func nestBase(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "base")
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "..", "testdata", "smallbase"))); err != nil {
		t.Fatal(err)
	}
	const nest = `
schema: 1
components:
  - {id: fan, name: Fan, families: [shop-heater]}
causes:
  - {id: fan-nest, name: Nest in the fan, component: fan, mode: blocked, share: {shop-heater: 1}, fix: clear-fan, basis: {kind: estimate}}
fixes:
  - {id: clear-fan, name: Clear the fan, minutes: 15, state: {power: "off"}, cures: 0.95, skill: technician, proof: nozzle-look, how: [Take it out.], cautions: [Wear a mask.], basis: {kind: estimate}}
`
	if err := os.WriteFile(filepath.Join(dir, "nest.yaml"), []byte(nest), 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

// nestShop is a shop where jobs with these causes were nests; others were not.
func nestShop(t *testing.T, nests ...[]string) *Shop {
	t.Helper()
	now := time.Date(2026, time.March, 1, 8, 0, 0, 0, time.UTC)
	s, err := Open(Config{Store: filepath.Join(t.TempDir(), "store"), Base: nestBase(t), By: "ann", Write: true, Now: func() time.Time { now = now.Add(time.Second); return now }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	for i := range 40 {
		closedAs(t, s, []string{"hums but never lights", "dead as a door nail", "no fire in it"}[i%3], "", kb.Closing{Causes: []string{[]string{"nozzle-plugged", "motor-dead"}[i%2]}, Confidence: 1})
	}
	for i, causes := range nests {
		closedAs(t, s, "runs cold", []string{"mouse nest in the fan", "nest of mice", "mice, old nest", "rodent nest: mice"}[i%4],
			kb.Closing{Causes: causes, Confidence: []float64{1, 0.5}[i%2], OneOf: i == 4 && len(causes) > 1})
	}
	closedAs(t, s, "runs cold", "gutter fell on it", kb.Closing{Causes: []string{kb.Unlisted}, Confidence: 1})
	return s
}

// closedAs opens a job, finds something and closes it.
func closedAs(t *testing.T, s *Shop, complaint, note string, c kb.Closing) kb.Job {
	t.Helper()
	j, err := s.OpenJob(Complaint{Words: complaint, Family: "shop-heater"})
	if err == nil {
		j, err = s.Record(j, kb.Finding{Kind: kb.KindCheck, ID: "nozzle-look", Outcome: "ok"})
	}
	if err == nil {
		c.Note = note
		j, err = s.CloseJob(j, c)
	}
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func unlisted(t *testing.T, s *Shop, family string) *Unlisted {
	t.Helper()
	u, err := s.Unlisted(family, func(int) {})
	if err != nil {
		t.Fatal(err)
	}
	return u
}

var fiveNests = [][]string{{kb.Unlisted}, {kb.Unlisted}, {kb.Unlisted, "motor-dead"}, {kb.Unlisted}, {kb.Unlisted, "fan-nest"}}

func TestUnlisted(t *testing.T) {
	s := nestShop(t, fiveNests...)
	u := unlisted(t, s, "")
	if len(u.Groups) != 1 || u.Unlisted != 6 || u.Listed != 40 || len(u.Left) != 1 || u.Left[0].ID != "46" {
		t.Fatalf("%+v", u)
	}
	g := u.Groups[0]
	if got := jobList(g.Jobs); got != "41, 42, 43, 44, 45" {
		t.Errorf("the group is %s", got)
	}
	if g.Weight < 3.99 || g.Weight > 4 {
		t.Errorf("it weighs %g, want 1 + 0.5 + 1 + 0.5 + 1 of a job a minute old", g.Weight)
	}
	if d := cmp.Diff([]SharedFinding{{Kind: kb.KindCheck, ID: "nozzle-look", Outcome: "ok", Jobs: 5}}, g.Shared); d != "" {
		t.Errorf("shared findings:\n%s", d)
	}
	if d := cmp.Diff(map[string]int{"shop-heater": 5}, g.Families); d != "" {
		t.Errorf("families:\n%s", d)
	}
	if other := unlisted(t, s, "house-heater"); len(other.Groups) != 0 || other.Unlisted != 0 {
		t.Errorf("house heaters: %+v", other)
	}
}

// TestSettleMovesCounts: the shop then believes what it would if the jobs had
// been closed with the cause in the first place.
func TestSettleMovesCounts(t *testing.T) {
	s := nestShop(t, fiveNests...)
	before := sharesOf(t, s)
	u := unlisted(t, s, "")
	plan, err := s.Settling(u, u.Groups[0].ID, "fan-nest", nil)
	if err != nil {
		t.Fatal(err)
	}
	done, err := s.Settle(plan)
	if err != nil || len(done) != 5 {
		t.Fatalf("%d jobs settled, %v", len(done), err)
	}
	for _, j := range done {
		was := unlistedJob(u, j.ID)
		if !j.Closing.At.Equal(was.Closed) || j.Closing.Note != was.Notes[0] || len(j.Past) != 0 {
			t.Errorf("job %s: the closing is %+v, want only the cause changed", j.ID, j.Closing)
		}
	}
	after := sharesOf(t, s)
	if after["fan-nest"] <= before["fan-nest"] || after[kb.Unlisted] >= before[kb.Unlisted] || after["nozzle-plugged"] >= before["nozzle-plugged"] {
		t.Errorf("shares before %v, after %v", before, after)
	}
	there := nestShop(t, []string{"fan-nest"}, []string{"fan-nest"}, []string{"fan-nest", "motor-dead"}, []string{"fan-nest"}, []string{"fan-nest"})
	if d := cmp.Diff(sharesOf(t, there), after, approximately); d != "" {
		t.Errorf("closed so at first to settled:\n%s", d)
	}
	if again, err := s.Settle(plan); err != nil || len(again) != 0 {
		t.Errorf("settled again: %d jobs, %v", len(again), err)
	}
	if left := unlisted(t, s, ""); len(left.Groups) != 0 || left.Listed != 45 {
		t.Errorf("left: %+v", left)
	}
}

var approximately = cmp.Comparer(func(a, b float64) bool { return a-b < 1e-6 && b-a < 1e-6 })

func sharesOf(t *testing.T, s *Shop) map[string]float64 {
	t.Helper()
	list, err := s.Priors("shop-heater", "")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for _, p := range list {
		out[p.ID] = p.Now
	}
	return out
}

func unlistedJob(u *Unlisted, id string) UnlistedJob {
	for _, g := range u.Groups {
		for _, j := range g.Jobs {
			if j.ID == id {
				return j
			}
		}
	}
	return UnlistedJob{}
}

func TestSettlingRefused(t *testing.T) {
	s := nestShop(t, fiveNests...)
	u := unlisted(t, s, "")
	group := u.Groups[0].ID
	for _, c := range []struct {
		name, group, cause string
		except             []string
		says               string
		unknown            bool
	}{
		{"no such group", group + "s", "fan-nest", nil, fmt.Sprintf("did you mean %q", group), true},
		{"no such cause", group, "fan-nets", nil, `did you mean "fan-nest"`, true},
		{"unlisted itself", group, kb.Unlisted, nil, "name the cause that they had", false},
		{"a job of no group", group, "fan-nest", []string{"46"}, "job 46 is not in group", false},
		{"no job left", group, "fan-nest", []string{"41", "42", "43", "44", "45"}, "no job of group", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := s.Settling(u, c.group, c.cause, c.except)
			var unknown *kb.UnknownIDError
			if err == nil || !strings.Contains(err.Error(), c.says) || errors.As(err, &unknown) != c.unknown {
				t.Errorf("error %v, want %q", err, c.says)
			}
		})
	}
	if plan, err := s.Settling(u, group, "fan-nest", []string{"42"}); err != nil || jobList(plan.Jobs) != "41, 43, 44, 45" {
		t.Errorf("without job 42: %s, %v", jobList(plan.Jobs), err)
	}
	if len(u.Groups[0].Jobs) != 5 {
		t.Error("planning changed the group")
	}
	if _, err := s.Settling(&Unlisted{}, group, "fan-nest", nil); err == nil || !strings.Contains(err.Error(), "no unlisted jobs have words in common") {
		t.Errorf("without groups: %v", err)
	}
}

// TestUnlistedReadings counts a reading by the outcome that it makes likeliest,
// and the last result of a check only.
func TestUnlistedReadings(t *testing.T) {
	s := nestShop(t)
	reading := func(v float64) kb.Act {
		return kb.Act{Finding: &kb.Finding{Kind: kb.KindCheck, ID: "motor-volts", Reading: &v}}
	}
	r := s.results()
	volts, _ := s.base.Check("motor-volts")
	if volts.Reading == nil {
		t.Skip("the small base reads no volts any more")
	}
	got := r.of(&kb.Job{Family: "shop-heater", Acts: []kb.Act{reading(0), reading(117), {Tried: "replace-motor"}, {Finding: &kb.Finding{Kind: kb.KindCheck, ID: "gone", Outcome: "x"}}}})
	if len(got) != 1 || got[0].id != "motor-volts" || got[0].outcome != volts.Outcomes[0].ID {
		t.Errorf("found %+v", got)
	}
	if got := r.of(&kb.Job{Family: "gone", Acts: []kb.Act{reading(117)}}); got != nil {
		t.Errorf("of a family that is gone: %+v", got)
	}
}
