package shop

import (
	"strings"
	"testing"

	"sootsayer/data"
)

// TestDemoJobs: every job of the invented shop still fits the shipped base, and
// teaches what the demo tells of.
func TestDemoJobs(t *testing.T) {
	s, err := Open(Config{Store: t.TempDir(), Write: true, Now: data.DemoDay, Notice: func(text string) { t.Error(text) }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	did, said := importText(t, s, data.DemoJobs())
	if did.Bad > 0 || did.Already > 0 {
		t.Fatalf("%+v; run: go generate ./data\n%s", did, strings.Join(said, "\n"))
	}
	if did.Imported < 200 || len(did.Families) != len(s.Families()) {
		t.Errorf("%+v; want some 240 jobs of every family", did)
	}
	if again := exportText(t, s); again != data.DemoJobs() {
		t.Error("the file is not written as an export is; run: go generate ./data")
	}
	callbacks, unlisted, unsure, tried := 0, 0, 0, 0
	for j, err := range s.journal.Jobs() {
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(j.Appliance, "invented-site-") {
			t.Errorf("job %s is of %q, which does not say that it is invented", j.ID, j.Appliance)
		}
		if j.CallbackOf != "" {
			callbacks++
		}
		if j.Closing.Causes[0] == "unlisted" {
			unlisted++
		}
		if j.Closing.Confidence < 1 {
			unsure++
		}
		for _, a := range j.Acts {
			if a.Tried != "" {
				tried++
			}
		}
	}
	if callbacks < 3 || unlisted < 3 || unsure < 10 || tried < 10 {
		t.Errorf("%d callbacks, %d unlisted, %d unsure, %d tried in vain; want some of each", callbacks, unlisted, unsure, tried)
	}
	priors, err := s.Priors("used-oil-heater", "")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range priors {
		if p.ID == "tank-water" && !(p.Now > 1.5*p.Start && p.Low > p.Start) {
			t.Errorf("water in the tank went from %.3f to %.3f (%.3f to %.3f); want it learned beyond doubt", p.Start, p.Now, p.Low, p.High)
		}
	}
}
