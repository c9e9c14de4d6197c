package learn

import (
	"testing"

	"sootsayer/kb"
)

// TestOneOf: a closing with one of several causes, worked by hand. In the kiln
// each of five causes has a share of 0.2; smoke is seen normally in 0.1, given
// the nozzle in 0.5, the eye in 0.2, and an unlisted cause in their mean, 0.2.
func TestOneOf(t *testing.T) {
	smoke := saw(kb.KindSymptom, "smoke", kb.Yes)
	tables := func(rest float64, rows map[string]float64) map[string]*TableCounts {
		table := &TableCounts{Outcomes: []string{kb.No, kb.Yes}, Rows: map[string]RowCounts{}}
		if rest > 0 {
			table.Normally = RowCounts{1, []float64{0, rest}}
		}
		for id, w := range rows {
			table.Rows[id] = RowCounts{1, []float64{0, w}}
		}
		return map[string]*TableCounts{"symptom/smoke": table}
	}
	none := map[string]*TableCounts{}
	eye, unlisted := 0.96*0.95*0.2*0.2, 0.04*0.2
	tests := []struct {
		name     string
		causes   []string
		acts     []kb.Act
		roots    map[string]Tally
		listed   Tally
		unlisted Tally
		tables   map[string]*TableCounts
	}{
		{"nothing found", []string{"nozzle", "wire"}, nil, map[string]Tally{"nozzle": {1, 0.5}, "wire": {1, 0.5}}, Tally{1, 1}, Tally{}, none},
		{"smoke", []string{"nozzle", "wire"}, []kb.Act{smoke}, map[string]Tally{"nozzle": {1, 5.0 / 6}, "wire": {1, 1.0 / 6}},
			Tally{1, 1}, Tally{}, tables(1.0/6, map[string]float64{"nozzle": 5.0 / 6})},
		{"root and effect are not both there", []string{"nozzle", "eye"}, []kb.Act{smoke}, map[string]Tally{"nozzle": {1, 5.0 / 7}, "eye": {1, 2.0 / 7}},
			Tally{1, 1}, Tally{}, tables(0, map[string]float64{"nozzle": 5.0 / 7, "eye": 2.0 / 7})},
		{"two without a row", []string{"spare", "wire", "nozzle"}, []kb.Act{smoke}, map[string]Tally{"nozzle": {1, 5.0 / 7}, "wire": {1, 1.0 / 7}, "spare": {1, 1.0 / 7}},
			Tally{1, 1}, Tally{}, tables(2.0/7, map[string]float64{"nozzle": 5.0 / 7})},
		{"or an unlisted one", []string{"eye", kb.Unlisted}, []kb.Act{smoke}, map[string]Tally{"eye": {1, eye / (eye + unlisted)}},
			Tally{1, eye / (eye + unlisted)}, Tally{1, unlisted / (eye + unlisted)}, tables(0, map[string]float64{"eye": eye / (eye + unlisted)})},
		{"or one that nobody knows", []string{"nozzle", "wire", "gone"}, []kb.Act{smoke}, map[string]Tally{"nozzle": {1, 5.0 / 6}, "wire": {1, 1.0 / 6}},
			Tally{1, 1}, Tally{}, none},
		{"or one, named twice", []string{"eye", "eye"}, []kb.Act{smoke}, map[string]Tally{"eye": {1, 1}}, Tally{1, 1}, Tally{}, tables(0, map[string]float64{"eye": 1})},
		{"smoke after a fix of one of them", []string{"nozzle", "wire"}, []kb.Act{{Tried: "new-nozzle"}, smoke}, map[string]Tally{"nozzle": {1, 1.0 / 11}, "wire": {1, 10.0 / 11}},
			Tally{1, 1}, Tally{}, none},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := kilnBase()
			b.Fixes[1].Cures = 0.9 // new-nozzle
			c := New(b)
			j := job(tt.causes, tt.acts...)
			j.Closing.OneOf = true
			c.Add(j)
			f := c.Families[kiln]
			want := &FamilyCounts{Jobs: Tally{1, 1}, Listed: tt.listed, Unlisted: tt.unlisted, Roots: tt.roots,
				Seasons: map[int]map[string]Tally{2025: tt.roots}, Effects: f.Effects}
			if diff := diffNear(want, f, 1e-12); diff != "" {
				t.Error(diff)
			}
			if diff := diffNear(tt.tables, c.Tables, 1e-12); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestOneOfImpossible: where the findings leave no candidate, the shares decide;
// where none has a share, they start alike.
func TestOneOfImpossible(t *testing.T) {
	b := kilnBase()
	b.Settings.Floor = 0
	for i := range b.Causes {
		b.Causes[i].Share = map[string]float64{kiln: float64(i % 4)} // grate 0, nozzle 1, eye 2, wire 3, vent 0, spare 1
	}
	b.Symptoms[0].If[0].Table, b.Symptoms[0].If[1].Table = kb.Table{{Outcome: kb.Yes, P: 0}}, kb.Table{{Outcome: kb.Yes, P: 0}}
	b.Reindex()
	for _, tt := range []struct {
		causes []string
		want   map[string]Tally
	}{
		{[]string{"nozzle", "eye"}, map[string]Tally{"nozzle": {1, 1.0 / 3}, "eye": {1, 2.0 / 3}}},
		{[]string{"grate", "vent"}, map[string]Tally{"grate": {1, 0.125}, "vent": {1, 0.875}}}, // vent bears on smoke with 0.7, the grate with 0.1
	} {
		c := New(b)
		j := job(tt.causes, saw(kb.KindSymptom, "smoke", kb.Yes))
		j.Closing.OneOf = true
		c.Add(j)
		roots := c.Families[kiln].Roots
		if diff := diffNear(tt.want, roots, 1e-12); diff != "" {
			t.Errorf("%v:\n%s", tt.causes, diff)
		}
	}
}
