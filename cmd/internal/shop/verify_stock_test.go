package shop

import (
	"encoding/gob"
	"os"
	"testing"
)

// TestVerifyStock: what is kept of parts is compared with the events, and made
// anew from them.
func TestVerifyStock(t *testing.T) {
	spoil := func(change func(*stockFile)) func(t *testing.T, name string) {
		return func(t *testing.T, name string) {
			f, err := readStockFile(name)
			if err != nil {
				t.Fatal(err)
			}
			change(f)
			file, err := os.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			defer file.Close()
			if err := gob.NewEncoder(file).Encode(f); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, c := range []struct {
		name   string
		damage func(t *testing.T, name string)
		found  PartState
	}{
		{"nothing", func(*testing.T, string) {}, PartSound},
		{"not there", func(t *testing.T, name string) {
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}, PartAbsent},
		{"cut short", func(t *testing.T, name string) {
			if err := os.Truncate(name, 40); err != nil {
				t.Fatal(err)
			}
		}, PartWrong},
		{"pieces changed", spoil(func(f *stockFile) { f.Qtys[0]++ }), PartWrong},
		{"a call less", spoil(func(f *stockFile) {
			f.CallSeconds, f.CallNanos, f.CallJobs, f.CallFamilies = f.CallSeconds[1:], f.CallNanos[1:], f.CallJobs[1:], f.CallFamilies[1:]
		}), PartWrong},
		{"columns that do not fit", spoil(func(f *stockFile) { f.Parts = f.Parts[1:] }), PartWrong},
		{"of another journal", spoil(func(f *stockFile) { f.Journal += "x" }), PartOutdated},
		{"of another version", spoil(func(f *stockFile) { f.Version++ }), PartOutdated},
		{"ahead of the journal", spoil(func(f *stockFile) { f.Seq += 100 }), PartOutdated},
	} {
		t.Run(c.name, func(t *testing.T) {
			cfg := worked(t)
			s, err := Open(cfg)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := s.Count("shelf", s.Now(), []Pieces{{"flame-eye", 4}, {"fan-belt", 1}}); err != nil {
				t.Fatal(err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			name := s.stockPath()
			c.damage(t, name)
			last := func(v Verification) PartReport { return v.Parts[len(v.Parts)-1] }
			v := verify(t, cfg, false)
			if p := last(v); p.Part != "stock" || p.State != c.found || (p.State == PartWrong) == v.Sound() || (len(p.Wrong) > 0) != (p.State == PartWrong) {
				t.Errorf("found %+v, want it %s", p, c.found)
			}
			want := PartRepaired
			if c.found == PartSound || c.found == PartAbsent {
				want = c.found
			}
			if p := last(verify(t, cfg, true)); p.State != want {
				t.Errorf("repaired: %+v, want it %s", p, want)
			}
			if p := last(verify(t, cfg, false)); want == PartRepaired && p.State != PartSound {
				t.Errorf("after the repair: %+v", p)
			}
		})
	}
}
