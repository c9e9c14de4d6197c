package kb

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestClone: a clone is equal, and whatever learning moves in it leaves the
// model alone.
func TestClone(t *testing.T) {
	b, _ := shippedBase(t)
	for _, family := range b.IDs("families") {
		m, err := NewModel(b, family)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := NewModel(b, family)
		c := m.Clone()
		if diff := cmp.Diff(want, c); diff != "" {
			t.Fatalf("the clone (-model +clone):\n%s", diff)
		}
		c.Unlisted, c.SecondFault = 0.5, 0.5
		for i := range c.Causes {
			c.Causes[i].Share++
			for j := range c.Causes[i].Effects {
				c.Causes[i].Effects[j].P++
			}
		}
		for i := range c.Fixes {
			c.Fixes[i].Minutes++
			c.Fixes[i].Cures++
			for j := range c.Fixes[i].Parts {
				c.Fixes[i].Parts[j].Chance++
			}
		}
		for i := range c.Observables {
			o := &c.Observables[i]
			o.Minutes++
			for j := range o.Normally {
				o.Normally[j]++
			}
			for _, r := range o.Rows {
				for j := range r.P {
					r.P[j]++
				}
			}
		}
		if diff := cmp.Diff(want, m); diff != "" {
			t.Errorf("the model changed with its clone:\n%s", diff)
		}
	}
}
