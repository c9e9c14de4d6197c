package learn

import (
	"testing"
	"time"

	"sootsayer/kb"
)

// curesBase is the kiln with chances that its fixes hold.
func curesBase() *kb.Base {
	b := kilnBase()
	for i := range b.Fixes {
		b.Fixes[i].Cures = 0.9
	}
	b.Fixes[3].Cures = 0.6 // mend-wire
	return b
}

func tried(fix string) kb.Act { return kb.Act{Tried: fix} }

func curesOf(c *Counts) map[string]Trials {
	got := map[string]Trials{}
	for id, f := range c.Fixes {
		got[id] = f.Cures
	}
	return got
}

// TestCures: which fixes held and which failed. In the kiln the eye's fix is
// wipe-eye; wire and spare both have mend-wire.
func TestCures(t *testing.T) {
	held, both := Trials{1, 1, 1}, Trials{2, 2, 1}
	stated := func(j *kb.Job, fixes ...string) *kb.Job { j.Closing.Fixes = fixes; return j }
	reopened := func(j *kb.Job, causes []string, fixes ...string) *kb.Job {
		j.Past = []kb.Closing{{At: at(50), Causes: causes, Fixes: fixes}}
		return j
	}
	oneOf := func(j *kb.Job) *kb.Job { j.Closing.OneOf = true; return j }
	tests := []struct {
		name string
		job  *kb.Job
		want map[string]Trials
	}{
		{"fix of the cause", job([]string{"eye"}), map[string]Trials{"wipe-eye": held}},
		{"fixes of two causes", job([]string{"eye", "wire"}), map[string]Trials{"wipe-eye": held, "mend-wire": held}},
		{"one fix of two causes", job([]string{"spare", "wire"}), map[string]Trials{"mend-wire": held}},
		{"another fix as well", stated(job([]string{"eye"}), "wipe-eye", "new-nozzle"), map[string]Trials{"wipe-eye": held}},
		{"another fix instead", stated(job([]string{"eye"}), "new-nozzle"), nil},
		{"a fix that is gone", stated(job([]string{"eye"}), "gone"), nil},
		{"tried in vain", job([]string{"eye"}, tried("wipe-eye")), map[string]Trials{"wipe-eye": both}},
		{"tried twice in vain", job([]string{"eye"}, tried("wipe-eye"), tried("wipe-eye")), map[string]Trials{"wipe-eye": {3, 3, 1}}},
		{"tried for another cause", job([]string{"eye"}, tried("mend-wire")), map[string]Trials{"wipe-eye": held}},
		{"tried what takes a part away", stated(job([]string{"eye", "wire"}, tried("wipe-eye")), "mend-wire"), map[string]Trials{"wipe-eye": held, "mend-wire": held}},
		{"and again", stated(job([]string{"eye", "wire"}, tried("wipe-eye"), tried("wipe-eye")), "mend-wire"), map[string]Trials{"wipe-eye": held, "mend-wire": held}},
		{"and then the rest in vain", job([]string{"eye", "wire"}, tried("wipe-eye"), tried("mend-wire")), map[string]Trials{"wipe-eye": held, "mend-wire": both}},
		{"tried what treats both", job([]string{"spare", "wire"}, tried("mend-wire")), map[string]Trials{"mend-wire": both}},
		{"reopened", reopened(job([]string{"eye"}), []string{"eye"}), map[string]Trials{"wipe-eye": both}},
		{"reopened, its fix stated", reopened(job([]string{"eye"}), []string{"wire"}, "wipe-eye"), map[string]Trials{"wipe-eye": both}},
		{"reopened on another cause", reopened(job([]string{"eye"}), []string{"wire"}), map[string]Trials{"wipe-eye": held}},
		{"unlisted", job([]string{kb.Unlisted}, tried("wipe-eye")), nil},
		{"unlisted too", job([]string{"eye", kb.Unlisted}), nil},
		{"one of two, alike", oneOf(job([]string{"eye", "wire"})), map[string]Trials{"wipe-eye": {1, 0.5, 0.5}, "mend-wire": {1, 0.5, 0.5}}},
		{"one of two with one fix", oneOf(job([]string{"spare", "wire"})), map[string]Trials{"mend-wire": held}},
		// Mending the wire leaves it a chance of 1 - 0.6: eye 1 / 1.4, wire 0.4 / 1.4.
		{"one of two, one tried in vain", oneOf(job([]string{"eye", "wire"}, tried("mend-wire"))),
			map[string]Trials{"wipe-eye": {1, 1 / 1.4, 1 / 1.4}, "mend-wire": {2, 0.8 / 1.4, 0.4 / 1.4}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(curesBase())
			c.Add(tt.job)
			if diff := diffNear(tt.want, curesOf(c), 1e-15); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestCameBack: a job that came back counts its fixes as failed, and no cause or
// table; unless the other job shows that the first diagnosis was wrong.
func TestCameBack(t *testing.T) {
	failed := Trials{1, 1, 0}
	closed := func(confidence float64, causes ...string) *kb.Job {
		j := job(causes)
		j.Closing.At, j.Closing.Confidence = epoch.Add(20*24*time.Hour), confidence
		return j
	}
	open := closed(1)
	open.Closing = nil
	extra := job([]string{"eye"})
	extra.Closing.Fixes = []string{"wipe-eye", "new-nozzle"}
	two := job([]string{"eye", "wire"})
	product := 0.9 * 0.6
	tests := []struct {
		name      string
		job, back *kb.Job
		want      map[string]Trials
	}{
		{"nothing known of it", job([]string{"eye"}), nil, map[string]Trials{"wipe-eye": failed}},
		{"still open", job([]string{"eye"}), open, map[string]Trials{"wipe-eye": failed}},
		{"same cause", job([]string{"eye"}), closed(1, "eye"), map[string]Trials{"wipe-eye": failed}},
		{"same cause, perhaps", job([]string{"eye"}), closed(0.5, "eye"), map[string]Trials{"wipe-eye": {1, 0.5, 0}}},
		{"another cause", job([]string{"eye"}), closed(1, "nozzle"), nil},
		{"another cause with the same fix", job([]string{"wire"}), closed(1, "spare"), map[string]Trials{"mend-wire": failed}},
		{"unlisted cause", job([]string{"eye"}), closed(1, kb.Unlisted), nil},
		{"two causes, one again", two, closed(1, "wire"), map[string]Trials{"mend-wire": failed}},
		{"two causes, still open", two, open, map[string]Trials{
			"wipe-eye": {1, 1, 1 - 0.1/(1-product)}, "mend-wire": {1, 1, 1 - 0.4/(1-product)}}},
		{"something else done, still open", extra, open, map[string]Trials{"wipe-eye": failed}},
		{"something else done, and that again", extra, closed(1, "nozzle"), map[string]Trials{"new-nozzle": failed}},
		{"not closed itself", open, open, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(curesBase())
			c.AddCameBack(tt.job, tt.back)
			if diff := diffNear(tt.want, curesOf(c), 1e-15); diff != "" {
				t.Error(diff)
			}
			if len(c.Families) > 0 || len(c.Tables) > 0 {
				t.Errorf("counted %v %v", c.Families, c.Tables)
			}
			c.RemoveCameBack(tt.job, tt.back)
			if len(c.Fixes) > 0 {
				t.Errorf("left %v", c.Fixes)
			}
		})
	}
}

// TestCuresMove: a fix that started at 0.9, worth 30 jobs, failed in 3 of 10.
func TestCuresMove(t *testing.T) {
	b := curesBase()
	c := New(b)
	for range 7 {
		c.Add(job([]string{"eye"}))
	}
	for range 3 {
		c.AddCameBack(job([]string{"eye"}), nil)
	}
	m, err := c.Model(b, kiln, "", epoch)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "cures", m.Fixes[m.FixIndex("wipe-eye")].Cures, (30*0.9+7)/40, 1e-15)
	within(t, "cures untouched", m.Fixes[m.FixIndex("new-nozzle")].Cures, 0.9, 0)
}
