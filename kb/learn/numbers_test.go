package learn

import (
	"encoding/json"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// leaves appends every number but 0 in a JSON value.
func leaves(list []float64, v any) []float64 {
	switch v := v.(type) {
	case map[string]any:
		for _, e := range v {
			list = leaves(list, e)
		}
	case []any:
		for _, e := range v {
			list = leaves(list, e)
		}
	case float64:
		if v != 0 {
			list = append(list, v)
		}
	}
	return list
}

// TestNumbers: every number that is written is listed, each under a name of its
// own.
func TestNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		c := countVisits(b, drawVisits(t, b, 10))
		data, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		var written map[string]any
		if err := json.Unmarshal(data, &written); err != nil {
			t.Fatal(err)
		}
		delete(written, "version")
		delete(written, "half_life_years")
		names := map[string]bool{}
		var listed []float64
		for name, v := range c.Numbers() {
			if names[name] {
				t.Fatalf("%q twice", name)
			}
			names[name] = true
			listed = leaves(listed, v)
		}
		want := leaves(nil, written)
		slices.Sort(want)
		slices.Sort(listed)
		if !slices.Equal(want, listed) {
			t.Fatalf("listed %v\nwritten %v", listed, want)
		}
	})
}
