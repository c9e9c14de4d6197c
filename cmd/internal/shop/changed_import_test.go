package shop

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"sootsayer/kb"
)

// TestImportInFormerIDs: a file may name things as they were called before. It
// is recorded in today's ids, and the same row in either is one job.
func TestImportInFormerIDs(t *testing.T) {
	const (
		before = header + `1,2024-10-02,2024-10-02,oil-furnace,,,,locks-out,"nozzle-look=worn;eye-resistance=ok:0.5,high:0.5",clean-eye,eye-sooted;tank-water,1,absorbent=2;nozzle-085=1,,` + "\n"
		today  = header + `1,2024-10-02,2024-10-02,oil-burner,,,,stops,"nozzle-seen=used;eye-resistance=higher:0.5,ok:0.5",wipe-eye,eye-dirty,1,nozzle-085=3,,` + "\n"
	)
	edit := []string{"oil-furnace", "oil-burner", "{id: oil-furnace,", "{id: oil-burner, was: [oil-furnace],", "- id: locks-out", "- id: stops\n    was: [locks-out]",
		"- id: nozzle-look", "- id: nozzle-seen\n    was: [nozzle-look]", "nozzle-look", "nozzle-seen", "{id: worn,", "{id: used, was: [worn],", "worn: 0.05", "used: 0.05", "{id: high,", "{id: higher, was: [high],",
		"high: 0", "higher: 0", "{id: clean-eye,", "{id: wipe-eye, was: [clean-eye],", "fix: clean-eye", "fix: wipe-eye",
		"  - {id: tank-water, name: Water in the tank, component: tank, mode: water, share: {oil-furnace: 5}, leads_to: {nozzle-plugged: 0.2}, fix: remove-water, basis: {kind: estimate}}\n", "",
		"      tank-water: {\"yes\": 0.5}\n", "", "    if:\n      tank-water: {water: 0.95}\n", "", "{id: eye-sooted,", "{id: eye-dirty, was: [eye-sooted, tank-water],", "eye-sooted: ", "eye-dirty: ",
		"{part: absorbent, qty: 2, chance: 0.5}", "{part: nozzle-085, qty: 2, chance: 0.5}", "{id: nozzle-085,", "{id: nozzle-085, was: [absorbent],", "  - {id: absorbent, name: Water absorbent, basis: {kind: estimate}}\n", ""}
	for name, c := range map[string]struct{ early, late, again string }{
		"recorded before the edit": {before, "", today},
		"imported after it":        {"", before, today},
		"and the other way":        {"", today, before},
		"twice the same":           {before, "", before},
	} {
		t.Run(name, func(t *testing.T) {
			e := openEdited(t)
			if c.early != "" {
				if did, said := importText(t, e.Shop, c.early); did.Imported != 1 {
					t.Fatal(said)
				}
			}
			e.edit(edit...)
			if c.late != "" {
				if did, said := importText(t, e.Shop, c.late); did.Imported != 1 {
					t.Fatal(said)
				}
			}
			if did, said := importText(t, e.Shop, c.again); did.Already != 1 {
				t.Errorf("%+v: %s", did, strings.Join(said, "\n"))
			}
			j, err := e.Job("1")
			if err != nil {
				t.Fatal(err)
			}
			want := &kb.Closing{Causes: []string{"eye-dirty"}, Used: map[string]float64{"nozzle-085": 3}}
			if j.Family != "oil-burner" || !cmp.Equal(want.Causes, j.Closing.Causes) || !cmp.Equal(want.Used, j.Closing.Used) {
				t.Errorf("family %s, closing %+v", j.Family, j.Closing)
			}
			if gone := e.Shop.base.Missing(&j); len(gone) > 0 {
				t.Errorf("missing: %v", gone)
			}
			if c := e.changed(); c.Jobs != 0 {
				t.Errorf("%+v", c)
			}
		})
	}
}

// TestImportWhatIsGone: a row that says what the store has recorded is there
// already, though the base no longer has what it names; one that does not is a
// bad row.
func TestImportWhatIsGone(t *testing.T) {
	e := openEdited(t)
	importText(t, e.Shop, eyeJobs)
	file := exportText(t, e.Shop)
	e.edit("eye-sooted", "eye-dirty")
	if did, said := importText(t, e.Shop, file); did.Already != 3 || did.Bad != 0 {
		t.Errorf("%+v: %v", did, said)
	}
	if did, said := importText(t, e.Shop, strings.Replace(file, "eye-resistance=2000", "eye-resistance=2001", 1)); did.Already != 2 || did.Bad != 1 || !strings.Contains(said[0], `no cause of oil-furnace "eye-sooted"`) {
		t.Errorf("%+v: %v", did, said)
	}
}
