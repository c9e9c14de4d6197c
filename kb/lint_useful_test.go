package kb

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// drawView draws a family with a few causes and checks on a coarse grid of
// probabilities, so that tables are often nearly alike.
func drawView(t *rapid.T) view {
	v := view{curedBy: map[string]int{}}
	for i := range rapid.IntRange(1, 7).Draw(t, "causes") {
		c := &Cause{ID: fmt.Sprintf("c%d", i), Fix: rapid.SampledFrom([]string{"x", "y", "z"}).Draw(t, "fix")}
		v.causes = append(v.causes, c)
		if v.curedBy[c.Fix]++; v.curedBy[c.Fix] == 1 {
			v.fixes = append(v.fixes, c.Fix)
		}
	}
	table := rapid.Custom(func(t *rapid.T) []float64 {
		p := float64(rapid.IntRange(0, 100).Draw(t, "percent")) / 100
		q := float64(rapid.IntRange(0, 3).Draw(t, "third")) / 100
		return []float64{1 - p, p * (1 - q), p * q}
	})
	for range rapid.IntRange(0, 3).Draw(t, "checks") {
		o := Observable{Outcomes: []string{"a", "b", "c"}, Normally: table.Draw(t, "normally")}
		for c := range v.causes {
			switch rapid.IntRange(0, 2).Draw(t, "row") {
			case 0:
				o.Rows = append(o.Rows, ModelRow{Cause: c, P: table.Draw(t, "p")})
			case 1: // close to the table without causes
				near := append([]float64(nil), o.Normally...)
				shift := math.Min(near[0], float64(rapid.IntRange(0, 7).Draw(t, "shift"))/100)
				near[0], near[1] = near[0]-shift, near[1]+shift
				o.Rows = append(o.Rows, ModelRow{Cause: c, P: near})
			}
		}
		v.seen = append(v.seen, seenThrough{Observable: o})
	}
	return v
}

// tableOf is the table of a cause in an observable, by its definition.
func tableOf(o Observable, cause int) []float64 {
	for _, row := range o.Rows {
		if row.Cause == cause {
			return row.P
		}
	}
	return o.Normally
}

func furthest(p, q []float64) float64 {
	var d float64
	for j := range p {
		d = math.Max(d, math.Abs(p[j]-q[j]))
	}
	return d
}

// TestAlikeAgainstAllPairs compares the grouping by hashes with one that
// compares every cause with the first of every group.
func TestAlikeAgainstAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := drawView(t)
		var firsts []int
		plain := map[int][]string{}
		for c := range v.causes {
			joined := false
			for _, f := range firsts {
				apart := 0.0
				for _, o := range v.seen {
					apart = math.Max(apart, furthest(tableOf(o.Observable, f), tableOf(o.Observable, c)))
				}
				if apart <= tellsApart+sumTolerance {
					plain[f], joined = append(plain[f], v.causes[c].ID), true
					break
				}
			}
			if !joined {
				firsts = append(firsts, c)
				plain[c] = []string{v.causes[c].ID}
			}
		}
		want, got := map[string]bool{}, map[string]bool{}
		for _, g := range plain {
			if len(g) > 1 {
				want[fmt.Sprint(g)] = true
			}
		}
		for _, g := range v.alike() {
			got[fmt.Sprint(ids(g, func(c *Cause) string { return c.ID }))] = true
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Fatal("groups (-want +got):\n", d)
		}
	})
}

// TestChangesWhatToDoAgainstAllPairs compares the one pass over the tables with
// all pairs of causes.
func TestChangesWhatToDoAgainstAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := drawView(t)
		for _, o := range v.seen {
			want := false
			for a := range v.causes {
				for b := range v.causes {
					if v.causes[a].Fix != v.causes[b].Fix && furthest(tableOf(o.Observable, a), tableOf(o.Observable, b)) > matters {
						want = true
					}
				}
			}
			if got := v.changesWhatToDo(o.Observable); got != want {
				t.Fatalf("%v, want %v: %+v", got, want, o.Observable)
			}
		}
	})
}
