package learn

import (
	"math"
	"testing"

	"sootsayer/kb"
)

// partsBase is the kiln with parts: the eye's fix takes a glass now and then,
// the wire's always a clip and sometimes a glass; rope is taken by none.
func partsBase() *kb.Base {
	b := kilnBase()
	b.Parts = []kb.Part{{ID: "glass"}, {ID: "clip"}, {ID: "rope"}}
	b.Fixes[2].Parts = []kb.PartUse{{Part: "glass", Qty: 1, Chance: 0.3}}
	b.Fixes[3].Parts = []kb.PartUse{{Part: "clip", Qty: 2, Chance: 1}, {Part: "glass", Qty: 1, Chance: 0.1}, {Part: "rope", Qty: 1, Chance: 1, Families: []string{oven}}}
	b.Reindex()
	return b
}

// TestPiecesCounted: which parts count to which fix.
func TestPiecesCounted(t *testing.T) {
	type used = map[string]float64
	one := Tally{1, 1}
	uses := func(u used, j *kb.Job) *kb.Job { j.Closing.Used = u; return j }
	times := func(parts map[string]map[string]Tally) *PieceCounts { return &PieceCounts{Times: one, Parts: parts} }
	of := func(part, qty string, t Tally) map[string]map[string]Tally {
		return map[string]map[string]Tally{part: {qty: t}}
	}
	doubtful := uses(used{"glass": 1}, job([]string{"eye"}))
	doubtful.Closing.Confidence = 0.1
	again := uses(used{"clip": 2}, job([]string{"wire"}, kb.Act{Tried: "wipe-eye"}, kb.Act{Tried: "mend-wire"}))
	again.Past = []kb.Closing{{At: at(0), Causes: []string{"eye"}, Used: used{"glass": 1}}}
	tests := []struct {
		name    string
		job     *kb.Job
		want    map[string]*PieceCounts
		skipped map[string]int
	}{
		{name: "not stated", job: job([]string{"eye"})},
		{name: "none used", job: uses(used{}, job([]string{"eye"})), want: map[string]*PieceCounts{"wipe-eye": times(nil)}},
		{name: "0 used", job: uses(used{"glass": 0}, job([]string{"eye"})), want: map[string]*PieceCounts{"wipe-eye": times(nil)}},
		{name: "listed", job: uses(used{"glass": 1}, job([]string{"eye"})), want: map[string]*PieceCounts{"wipe-eye": times(of("glass", "1", one))}},
		{name: "broken pieces", job: uses(used{"glass": 2.5}, job([]string{"eye"})), want: map[string]*PieceCounts{"wipe-eye": times(of("glass", "2.5", one))}},
		{name: "whatever the cause", job: doubtful, want: map[string]*PieceCounts{"wipe-eye": times(of("glass", "1", one))}},
		{name: "not listed, one fix", job: uses(used{"rope": 3}, job([]string{"eye"})), want: map[string]*PieceCounts{"wipe-eye": times(of("rope", "3", one))}},
		{name: "listed by one of two fixes", job: uses(used{"clip": 2}, job([]string{"eye", "wire"})),
			want: map[string]*PieceCounts{"wipe-eye": times(nil), "mend-wire": times(of("clip", "2", one))}},
		{name: "listed by both", job: uses(used{"glass": 1}, job([]string{"eye", "wire"})),
			want: map[string]*PieceCounts{"wipe-eye": times(of("glass", "1", Tally{1, 0.75})), "mend-wire": times(of("glass", "1", Tally{1, 0.25}))}},
		{name: "listed by none of two", job: uses(used{"rope": 1}, job([]string{"eye", "wire"})),
			want: map[string]*PieceCounts{"wipe-eye": times(nil), "mend-wire": times(nil)}, skipped: map[string]int{"part/rope": 1}},
		{name: "tried as well", job: uses(used{"clip": 1, "glass": 1}, job([]string{"eye"}, kb.Act{Tried: "mend-wire"})),
			want: map[string]*PieceCounts{"wipe-eye": times(of("glass", "1", Tally{1, 0.75})),
				"mend-wire": times(map[string]map[string]Tally{"clip": {"1": one}, "glass": {"1": {1, 0.25}}})}},
		{name: "nobody knows it", job: uses(used{"gold": 1}, job([]string{"eye"})), want: map[string]*PieceCounts{"wipe-eye": times(nil)}, skipped: map[string]int{"part/gold": 1}},
		{name: "no fix done", job: uses(used{"glass": 1}, job([]string{kb.Unlisted})), skipped: map[string]int{"part/glass": 1}},
		{name: "at an earlier closing too", job: again, want: map[string]*PieceCounts{"wipe-eye": times(of("glass", "1", one)), "mend-wire": times(of("clip", "2", one))}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(partsBase())
			c.Add(tt.job)
			got := map[string]*PieceCounts{}
			for id, f := range c.Fixes {
				if p := f.Pieces[kiln]; p != nil {
					got[id] = p
				}
			}
			if diff := diffNear(tt.want, got, 1e-15); diff != "" {
				t.Error(diff)
			}
			if diff := diffNear(tt.skipped, c.Skipped, 0); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestPieces: ten times the wire was mended, with two clips six times, three
// clips three times and none once, and rope twice; a start worth 8 jobs.
func TestPieces(t *testing.T) {
	b := partsBase()
	c := New(b)
	for i := range 10 {
		j := job([]string{"wire"})
		j.Closing.Used = map[string]float64{"clip": []float64{2, 2, 2, 2, 2, 2, 3, 3, 3, 0}[i]}
		if i < 2 {
			j.Closing.Used["rope"] = 1
		}
		c.Add(j)
	}
	want := []PieceTable{
		{Part: "clip", Listed: true, Start: 1, Chance: 17.0 / 18, Mean: (14*2 + 3*3) / 17.0, Jobs: 10, Weighted: 10, Uses: 9,
			Pieces: []PieceChance{{0, 1.0 / 18}, {2, 14.0 / 18}, {3, 3.0 / 18}}},
		{Part: "glass", Listed: true, Start: 0.1, Chance: 0.8 / 18, Mean: 1, Jobs: 10, Weighted: 10,
			Pieces: []PieceChance{{0, 1 - 0.8/18}, {1, 0.8 / 18}}},
		{Part: "rope", Chance: 2.0 / 18, Mean: 1, Jobs: 10, Weighted: 10, Uses: 2, Pieces: []PieceChance{{0, 16.0 / 18}, {1, 2.0 / 18}}},
	}
	if diff := diffNear(want, c.Pieces(b, kiln, "mend-wire", epoch), 1e-12); diff != "" {
		t.Error(diff)
	}
	m, err := c.Model(b, kiln, "", epoch)
	if err != nil {
		t.Fatal(err)
	}
	parts := []kb.PartUse{{Part: "clip", Qty: 37.0 / 17, Chance: 17.0 / 18}, {Part: "glass", Qty: 1, Chance: 0.8 / 18}}
	if diff := diffNear(parts, m.Fixes[m.FixIndex("mend-wire")].Parts, 1e-12); diff != "" {
		t.Error(diff)
	}
	if got := b.Fixes[3].Parts[0]; got.Qty != 2 || got.Chance != 1 {
		t.Errorf("the base changed: %+v", got)
	}
	if c.Pieces(b, kiln, "gone", epoch) != nil {
		t.Error("pieces of a fix that nobody knows")
	}
	untouched := c.Pieces(b, oven, "mend-wire", epoch)
	if len(untouched) != 3 || untouched[2].Chance != 1 || untouched[2].Mean != 1 || untouched[2].Jobs != 0 {
		t.Errorf("in the oven %+v", untouched)
	}
	for _, table := range untouched {
		var sum float64
		for _, p := range table.Pieces {
			sum += p.P
		}
		if math.Abs(sum-1) > 1e-15 {
			t.Errorf("%s sums to %v", table.Part, sum)
		}
	}
}
