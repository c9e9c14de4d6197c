package learn

import (
	"math"
	"testing"

	"sootsayer/kb"
)

// TestEffects: in the kiln grate leads to nozzle (0.3) and nozzle to eye (0.15).
// Here grate leads to eye too (0.4), so that they share it.
func TestEffects(t *testing.T) {
	b := kilnBase()
	b.Causes[0].LeadsTo["eye"] = 0.4
	hit, miss := Trials{1, 1, 1}, Trials{1, 1, 0}
	both := 1 - (1-0.15)*(1-0.4) // grate or nozzle brings the eye along
	tests := []struct {
		name   string
		causes []string
		want   map[string]Trials
	}{
		{"root alone", []string{"grate"}, map[string]Trials{"grate>nozzle": miss, "grate>eye": miss}},
		{"root and effect", []string{"nozzle", "grate"}, map[string]Trials{"grate>nozzle": hit, "grate>eye": miss, "nozzle>eye": miss}},
		{"root and one effect of two", []string{"grate", "eye"}, map[string]Trials{"grate>nozzle": miss, "grate>eye": hit}},
		{"effect of two causes", []string{"grate", "nozzle", "eye"}, map[string]Trials{"grate>nozzle": hit, "grate>eye": {1, 1, 0.4 / both}, "nozzle>eye": {1, 1, 0.15 / both}}},
		{"leads to nothing", []string{"wire"}, nil},
		{"two roots", []string{"grate", "wire"}, nil},
		{"unlisted too", []string{"grate", kb.Unlisted}, nil},
		{"one that nobody knows", []string{"grate", "gone"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := New(b)
			c.Add(job(tt.causes))
			if diff := diffNear(tt.want, c.Families[kiln].Effects, 1e-15); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestEffectBetweenLeftOut: in the kiln the eye can only come of the grate
// through the nozzle; a closing without it says nothing of effects.
func TestEffectBetweenLeftOut(t *testing.T) {
	c := New(kilnBase())
	c.Add(job([]string{"grate", "eye"}))
	if f := c.Families[kiln]; len(f.Effects) > 0 || f.Roots["grate"].Jobs != 1 {
		t.Errorf("%+v", f)
	}
	one := job([]string{"grate", "nozzle"})
	one.Closing.OneOf = true
	c.Add(one)
	if f := c.Families[kiln]; len(f.Effects) > 0 {
		t.Errorf("one of several: %+v", f)
	}
}

// TestEffectsMove: ten closings of a root, four with its effect, move 0.3.
func TestEffectsMove(t *testing.T) {
	b := kilnBase()
	c := New(b)
	for i := range 10 {
		causes := []string{"grate", "nozzle"}
		c.Add(job(causes[:1+min(1, i/6)]))
	}
	m, err := c.Model(b, kiln, "", epoch)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := m.Causes[0].Effects[0].P, (30*0.3+4)/40; math.Abs(got-want) > 1e-15 {
		t.Errorf("P %v, want %v", got, want)
	}
	if got, want := m.Causes[1].Effects[0].P, 30*0.15/34; math.Abs(got-want) > 1e-15 {
		t.Errorf("nozzle to eye %v, want %v", got, want)
	}
}
