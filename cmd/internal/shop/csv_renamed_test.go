package shop

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestFormerIDs: after the base renamed what jobs name, a file in the former ids
// is read as today's, and neither is taken for another job. What was recorded is
// written as it was.
func TestFormerIDs(t *testing.T) {
	text, err := os.ReadFile("testdata/base/small.yaml")
	if err != nil {
		t.Fatal(err)
	}
	renamed := strings.NewReplacer(
		"{id: oil-furnace, name", "{id: oil-heater, was: [oil-furnace], name", "oil-furnace", "oil-heater",
		"- id: tank-bottom\n", "- id: tank-paste\n    was: [tank-bottom]\n",
		"{id: water, name: water}", "{id: wet, was: [water], name: water}", "{water: 0.95}", "{wet: 0.95}", "water: 0.05}", "wet: 0.05}",
		"- id: smoke\n", "- id: smokes\n    was: [smoke]\n",
		"{id: tank-water, name", "{id: tank-wet, was: [tank-water], name", "tank-water: {", "tank-wet: {", "      tank-water", "      tank-wet",
		"{id: clean-eye, name", "{id: wipe-eye, was: [clean-eye], name", "fix: clean-eye", "fix: wipe-eye",
		"{id: absorbent, name", "{id: water-pads, was: [absorbent], name", "{part: absorbent,", "{part: water-pads,").Replace(string(text))
	base := t.TempDir()
	if err := os.WriteFile(filepath.Join(base, "small.yaml"), []byte(renamed), 0o600); err != nil {
		t.Fatal(err)
	}
	const former = "1,2024-10-02,2024-10-02,oil-furnace,,,,smoke;locks-out,tank-bottom=water@5,clean-eye@3;smoke=no,tank-water|eye-sooted,1,absorbent=2,,,clean-eye,,,truck-1\n"
	const today = "1,2024-10-02,2024-10-02,oil-heater,,,,smokes;locks-out,tank-paste=wet@5,wipe-eye@3;smokes=no,tank-wet|eye-sooted,1,water-pads=2,,,wipe-eye,,,truck-1\n"
	dir := t.TempDir()
	old, _ := openSmall(t, dir)
	if did, said := importText(t, old, wholeHeader+former); did.Imported != 1 {
		t.Fatalf("%+v %q", did, said)
	}
	if err := old.Close(); err != nil {
		t.Fatal(err)
	}
	for name, is := range map[string]struct{ store, exported string }{"recorded before": {dir, former}, "new": {t.TempDir(), today}} {
		s, err := Open(Config{Store: is.store, Base: base, Write: true, Now: testClock})
		if err != nil {
			t.Fatal(err)
		}
		first, said := importText(t, s, wholeHeader+former)
		again, more := importText(t, s, wholeHeader+today)
		if first.Bad+again.Bad > 0 || first.Already+first.Imported != 1 || again.Already != 1 {
			t.Errorf("%s: %+v %q, then %+v %q", name, first, said, again, more)
		}
		if diff := cmp.Diff(wholeHeader+is.exported, exportAll(t, s)); diff != "" {
			t.Errorf("%s: export (-want +got):\n%s", name, diff)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
