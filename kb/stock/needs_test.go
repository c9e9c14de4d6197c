package stock

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sootsayer/kb"
	"sootsayer/kb/learn"
)

const heater = "heater"

// drawPartsBase draws a base of one family with fixes that take parts, some of
// them alternatives of each other. Cause n is cured by fix n.
func drawPartsBase(t *rapid.T) *kb.Base {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: heater, Name: heater}}}
	parts := rapid.IntRange(1, 5).Draw(t, "parts")
	for i := range parts {
		b.Parts = append(b.Parts, kb.Part{ID: fmt.Sprint("part-", i), Name: "Part"})
	}
	for f := range rapid.IntRange(1, 3).Draw(t, "fixes") {
		fix := kb.Fix{ID: fmt.Sprint("fix-", f), Name: "Fix", Minutes: 1, Cures: 1}
		var sizes float64
		for i := range parts {
			use := kb.PartUse{Part: b.Parts[i].ID, Qty: float64(rapid.IntRange(1, 3).Draw(t, "qty")), Chance: float64(rapid.IntRange(1, 10).Draw(t, "tenths")) / 10}
			switch rapid.IntRange(0, 3).Draw(t, "kind") {
			case 0:
				continue
			case 1:
				if use.Chance = min(use.Chance, 1-sizes); use.Chance <= 0 {
					continue
				}
				use.OneOf = "size"
				sizes += use.Chance
			}
			fix.Parts = append(fix.Parts, use)
		}
		b.Fixes = append(b.Fixes, fix)
		b.Causes = append(b.Causes, kb.Cause{ID: fmt.Sprint("cause-", f), Name: "Cause", Share: map[string]float64{heater: 1}, Fix: fix.ID})
	}
	b.Reindex()
	return b
}

// setsByHand goes through every way in which the parts of a fix may be used or
// not, and adds up the chance of each set.
func setsByHand(b *kb.Base, fix string) map[string]float64 {
	f, _ := b.Fix(fix)
	sets := make(map[string]float64)
	for used := range 1 << len(f.Parts) {
		chance, left, sizes := 1.0, 1.0, 0
		pieces := make(map[string]int)
		for i, u := range f.Parts {
			taken := used>>i&1 == 1
			switch {
			case u.OneOf != "" && taken:
				sizes++
				chance *= u.Chance
			case u.OneOf != "":
				left -= u.Chance
			case taken:
				chance *= u.Chance
			default:
				chance *= 1 - u.Chance
			}
			if taken {
				pieces[u.Part] += int(u.Qty)
			}
			if u.OneOf != "" && taken {
				left -= u.Chance
			}
		}
		if sizes > 1 {
			continue
		}
		if sizes == 0 { // left is the chance that none of the sizes is used
			chance *= max(0, left)
		}
		sets[fmt.Sprint(pieces)] += chance
	}
	maps.DeleteFunc(sets, func(_ string, p float64) bool { return p < 1e-12 })
	return sets
}

func kitWords(parts []string, takes []Take) string {
	pieces := make(map[string]int)
	for _, t := range takes {
		pieces[parts[t.Part]] = max(pieces[parts[t.Part]], t.Pieces)
	}
	return fmt.Sprint(pieces)
}

func sameSets(t *rapid.T, what string, got, want map[string]float64) {
	t.Helper()
	for _, key := range slices.Sorted(maps.Keys(want)) {
		if math.Abs(got[key]-want[key]) > 1e-9 {
			t.Fatalf("%s: %s has %v, want %v", what, key, got[key], want[key])
		}
	}
	for key, p := range got {
		if want[key] == 0 && p > 1e-9 {
			t.Fatalf("%s: %s has %v, want none", what, key, p)
		}
	}
}

// TestSetsByHand: the sets of a fix, and the needs of jobs that take several
// fixes, are those of going through every way.
func TestSetsByHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawPartsBase(t)
		parts := b.IDs("parts")
		c := NewCoUse(b, parts)
		var repairs []Repair
		want := make(map[string]float64)
		for _, f := range b.Fixes {
			got := make(map[string]float64)
			for _, s := range c.Sets(heater, f.ID) {
				got[kitWords(parts, s.Takes)] += s.Chance
			}
			byHand := setsByHand(b, f.ID)
			sameSets(t, f.ID, got, byHand)
			w := rapid.Float64Range(0.01, 0.2).Draw(t, "weight")
			repairs = append(repairs, Repair{heater, []string{f.ID}, w})
			for key, p := range byHand {
				want[key] += w * p
			}
		}
		if len(b.Fixes) > 1 { // two fixes on one job
			pair := Repair{heater, []string{"fix-0", "fix-1"}, 0.1}
			repairs = append(repairs, pair)
			for _, x := range c.Sets(heater, "fix-0") {
				for _, y := range c.Sets(heater, "fix-1") {
					want[kitWords(parts, append(slices.Clone(x.Takes), y.Takes...))] += 0.1 * x.Chance * y.Chance
				}
			}
		}
		repairs = append(repairs, Repair{Family: heater, Weight: 0.05})
		n := NewNeeds(repairs, c.Sets)
		got := make(map[string]float64)
		for _, x := range n.Jobs {
			got[kitWords(parts, x.Takes)] += x.Weight
		}
		sameSets(t, "needs", got, want)
		if math.Abs(n.Unlisted-0.05) > 1e-12 {
			t.Fatalf("unlisted %v", n.Unlisted)
		}
		var sum float64
		for _, r := range repairs {
			sum += r.Weight
		}
		if math.Abs(n.Most()+n.Unlisted-sum) > 1e-9 {
			t.Fatalf("weights %v do not sum to those of the repairs, %v", n.Most()+n.Unlisted, sum)
		}
	})
}

// TestFrequentIsABound: what stands for rare needs weighs as much, and no kit
// fills less of it.
func TestFrequentIsABound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawPartsBase(t)
		parts := b.IDs("parts")
		var repairs []Repair
		for _, f := range b.Fixes {
			repairs = append(repairs, Repair{heater, []string{f.ID}, rapid.Float64Range(0.01, 0.2).Draw(t, "weight")})
		}
		repairs = append(repairs, Repair{heater, b.IDs("fixes"), rapid.Float64Range(0.01, 0.2).Draw(t, "all")})
		n := NewNeeds(repairs, NewCoUse(b, parts).Sets)
		few := Needs{Jobs: n.Frequent(rapid.IntRange(0, len(n.Jobs)).Draw(t, "most"))}
		if math.Abs(few.Most()-n.Most()) > 1e-9 {
			t.Fatalf("the frequent needs weigh %v, all %v", few.Most(), n.Most())
		}
		carry := rapid.SliceOfN(rapid.IntRange(0, 6), len(parts), len(parts)).Draw(t, "carry")
		if few.Filled(carry) < n.Filled(carry)-1e-9 {
			t.Fatalf("a kit fills %v of the frequent needs and %v of all", few.Filled(carry), n.Filled(carry))
		}
		// Value and Filled are two ways to the same thing, one job a tour.
		kp := make([]KitPart, len(parts))
		for i := range kp {
			kp[i] = KitPart{ID: parts[i], Cost: 1, Most: 1}
		}
		k := n.Value(kp, 1, carry)
		if math.Abs(k.Filled-n.Filled(carry)) > 1e-9 || !slices.Equal(k.Carry, carry) {
			t.Fatalf("value %v of %v, filled %v of %v", k.Filled, k.Carry, n.Filled(carry), carry)
		}
	})
}

// closedJob is a job closed with causes and what it used.
func closedJob(used map[string]float64, causes ...string) *kb.Job {
	at := time.Date(2026, time.January, 1, 0, 0, 0, 0, time.UTC)
	return &kb.Job{ID: "1", Family: heater, Opened: at, Closing: &kb.Closing{At: at, Causes: causes, Confidence: 1, Used: used}}
}

// TestCoUseIsLearned: a base that says that two parts are each used half of the
// time, and a shop that uses both or none.
func TestCoUseIsLearned(t *testing.T) {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: heater}},
		Parts:  []kb.Part{{ID: "motor"}, {ID: "capacitor"}, {ID: "belt"}},
		Fixes:  []kb.Fix{{ID: "replace-motor", Parts: []kb.PartUse{{Part: "motor", Qty: 1, Chance: 0.5}, {Part: "capacitor", Qty: 1, Chance: 0.5}}}, {ID: "replace-belt", Parts: []kb.PartUse{{Part: "belt", Qty: 2, Chance: 1}}}},
		Causes: []kb.Cause{{ID: "motor-dead", Fix: "replace-motor", Share: map[string]float64{heater: 1}}, {ID: "belt-torn", Fix: "replace-belt", Share: map[string]float64{heater: 1}}}}
	b.Settings.TableStrength = 8
	b.Reindex()
	parts := b.IDs("parts")
	c := NewCoUse(b, parts)
	both := map[string]float64{"motor": 1, "capacitor": 1}
	for range 9 {
		c.Add(closedJob(both, "motor-dead"), 1)
	}
	for range 3 {
		c.Add(closedJob(map[string]float64{}, "motor-dead"), 1)
	}
	c.Add(closedJob(nil, "motor-dead"), 1)                                                                    // says nothing of parts
	c.Add(closedJob(map[string]float64{"motor": 1, "capacitor": 1, "belt": 3}, "motor-dead", "belt-torn"), 2) // each fix its own
	c.Add(&kb.Job{Family: heater}, 1)
	c.Add(closedJob(both), 0)
	got := make(map[string]float64)
	for _, s := range c.Sets(heater, "replace-motor") {
		got[kitWords(parts, s.Takes)] = s.Chance
	}
	// Prior 8 x 1/4 each; both in 9 + 2 of 14 jobs, none in 3.
	want := map[string]float64{"map[capacitor:1 motor:1]": 13. / 22, "map[motor:1]": 2. / 22, "map[capacitor:1]": 2. / 22, "map[]": 5. / 22}
	if len(got) != len(want) {
		t.Errorf("sets %v, want %v", got, want)
	}
	for key, p := range want {
		near(t, key, got[key], p, 1e-12)
	}
	for _, s := range c.Sets(heater, "replace-belt") {
		want := map[string]float64{"map[belt:2]": 8. / 10, "map[belt:3]": 2. / 10}[kitWords(parts, s.Takes)]
		near(t, kitWords(parts, s.Takes), s.Chance, want, 1e-12)
	}
	// What kb/learn says of each part alone is what the sets add up to.
	counts := learn.New(b)
	counts.HalfLifeYears = 0
	for range 9 {
		counts.Add(closedJob(both, "motor-dead"))
	}
	for range 3 {
		counts.Add(closedJob(map[string]float64{}, "motor-dead"))
	}
	alone := NewCoUse(b, parts)
	for range 9 {
		alone.Add(closedJob(both, "motor-dead"), 1)
	}
	for range 3 {
		alone.Add(closedJob(map[string]float64{}, "motor-dead"), 1)
	}
	for _, table := range counts.Pieces(b, heater, "replace-motor", closedJob(nil).Closing.At) {
		var chance float64
		for _, s := range alone.Sets(heater, "replace-motor") {
			for _, x := range s.Takes {
				if parts[x.Part] == table.Part {
					chance += s.Chance
				}
			}
		}
		near(t, table.Part, chance, table.Chance, 1e-12)
	}
}

// TestManyPartsOfAFix: a fix with thirty parts has a thousand million sets; the
// rare ones count to the others.
func TestManyPartsOfAFix(t *testing.T) {
	b := &kb.Base{Schema: 1, Settings: kb.DefaultSettings(), Families: []kb.Family{{ID: heater}}, Fixes: []kb.Fix{{ID: "all"}}}
	for i := range 30 {
		id := fmt.Sprint("part-", i)
		b.Parts = append(b.Parts, kb.Part{ID: id})
		b.Fixes[0].Parts = append(b.Fixes[0].Parts, kb.PartUse{Part: id, Qty: 1, Chance: 0.1})
	}
	b.Reindex()
	var sum float64
	sets := NewCoUse(b, b.IDs("parts")).Sets(heater, "all")
	for _, s := range sets {
		sum += s.Chance
	}
	near(t, "all sets", sum, 1, 1e-9)
	if len(sets) > mostSets {
		t.Errorf("%d sets", len(sets))
	}
	if sets := NewCoUse(b, nil).Sets(heater, "no-such-fix"); len(sets) != 1 || sets[0].Chance != 1 || sets[0].Takes != nil {
		t.Errorf("an unknown fix takes %v", sets)
	}
}
