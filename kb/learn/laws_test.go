package learn

import (
	"encoding/json"
	"maps"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"sootsayer/kb"
)

// diffNear compares two values, numbers to an absolute and relative tolerance.
func diffNear(want, got any, tol float64) string {
	return cmp.Diff(want, got, cmpopts.EquateApprox(tol, tol), cmpopts.EquateEmpty(), cmpopts.IgnoreUnexported(Counts{}))
}

// TestOrderOfJobs: the jobs may be counted in any order.
func TestOrderOfJobs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		visits := drawVisits(t, b, 20)
		if diff := diffNear(countVisits(b, visits), countVisits(b, rapid.Permutation(visits).Draw(t, "order")), 1e-12); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestShopsAddUp: jobs split over shops and added up count like the jobs of one.
func TestShopsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		visits := drawVisits(t, b, 20)
		shops := []*Counts{New(b), New(b), New(b)}
		for _, v := range visits {
			v.add(shops[rapid.IntRange(0, 2).Draw(t, "shop")])
		}
		before, _ := json.Marshal(shops[1])
		all := New(b)
		for _, s := range shops {
			if err := all.Merge(s); err != nil {
				t.Fatal(err)
			}
		}
		if diff := diffNear(countVisits(b, visits), all, 1e-12); diff != "" {
			t.Fatal(diff)
		}
		all.Add(drawJob(t, b)) // must not reach into the shop's own counts
		if after, _ := json.Marshal(shops[1]); string(before) != string(after) {
			t.Fatalf("a shop's counts changed from %s to %s", before, after)
		}
	})
}

// TestTakingBack: counting some jobs more and taking them back, in any order,
// restores the counts to 1e-12; taking all back leaves nothing at all.
func TestTakingBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		stay, go1 := drawVisits(t, b, 15), drawVisits(t, b, 10)
		before := countVisits(b, stay)
		c := countVisits(b, rapid.Permutation(append(append([]visit{}, stay...), go1...)).Draw(t, "in"))
		for _, v := range rapid.Permutation(go1).Draw(t, "out") {
			v.remove(c)
		}
		if diff := diffNear(before, c, 1e-12); diff != "" {
			t.Fatal(diff)
		}
		for _, v := range stay {
			v.remove(c)
		}
		if diff := cmp.Diff(New(b), c, cmpopts.IgnoreUnexported(Counts{})); diff != "" {
			t.Fatalf("not empty:\n%s", diff)
		}
	})
}

// TestTotals: what the counts of a family and of a table must add up to.
func TestTotals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		jobs := drawJobs(t, b, 20)
		c := count(b, jobs)
		closed := map[string]int{}
		for _, j := range jobs {
			if j.Closed() {
				closed[j.Family]++
			}
		}
		for id, f := range c.Families {
			var roots Tally
			for _, r := range f.Roots {
				roots = Tally{roots.Jobs + r.Jobs, roots.Weight + r.Weight}
			}
			if f.Jobs.Jobs > closed[id] || f.Listed.Jobs > f.Jobs.Jobs || f.Second.Jobs > f.Listed.Jobs || f.Listed.Jobs > roots.Jobs {
				t.Fatalf("%s: %d closed, %+v", id, closed[id], f)
			}
			if f.Jobs.Jobs > f.Listed.Jobs+f.Unlisted.Jobs || f.Unlisted.Jobs > f.Jobs.Jobs {
				t.Fatalf("%s: listed and unlisted do not cover the jobs: %+v", id, f)
			}
			if f.Second.Jobs == 0 && math.Abs(roots.Weight-f.Listed.Weight) > 1e-9 {
				t.Fatalf("%s: without second faults the roots are the listed jobs: %+v", id, f)
			}
		}
		for key, table := range c.Tables {
			rows := table.Normally.Jobs
			for _, r := range table.Rows {
				rows = max(rows, r.Jobs) // a job with one of several causes is in several
			}
			if rows > closed[kiln]+closed[oven] {
				t.Fatalf("%s: %d findings of %v closed jobs", key, rows, closed)
			}
		}
		checkSums(t, b, c)
	})
}

// TestModelsAndSeasonsAddUp: the roots by season are those of the family, job by
// job, and the roots by model are at most that.
func TestModelsAndSeasonsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		b.Settings.HalfLifeYears = 0 // so that confidence is all that weighs
		for id, f := range countVisits(b, drawVisits(t, b, 20)).Families {
			seasons, models := map[string]Tally{}, map[string]Tally{}
			for _, roots := range f.Seasons {
				for cause, n := range roots {
					addTo(seasons, cause, n)
				}
			}
			for _, roots := range f.Models {
				for cause, n := range roots {
					addTo(models, cause, n)
				}
			}
			if diff := diffNear(f.Roots, seasons, 1e-12); diff != "" {
				t.Fatalf("%s:\n%s", id, diff)
			}
			for cause, n := range models {
				if n.Jobs > f.Roots[cause].Jobs || n.Weight > f.Roots[cause].Weight+1e-12 {
					t.Fatalf("%s: models have %+v of %s, the family %+v", id, n, cause, f.Roots[cause])
				}
			}
		}
	})
}

// checkSums checks that every distribution is one, whatever the strengths.
func checkSums(t *rapid.T, b *kb.Base, c *Counts) {
	one := func(what string, p []float64) {
		var sum float64
		for _, v := range p {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("%s holds %v", what, v)
			}
			sum += v
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Fatalf("%s sums to %v", what, sum)
		}
	}
	for _, family := range []string{kiln, oven} {
		m, err := c.Model(b, family, "", now)
		if err != nil {
			t.Fatal(err)
		}
		checkModel(t, m)
		var shares []float64
		for _, mc := range m.Causes {
			shares = append(shares, mc.Share)
		}
		one("shares", shares)
		one("unlisted", []float64{m.Unlisted, 1 - m.Unlisted})
		one("second fault", []float64{m.SecondFault, 1 - m.SecondFault})
		for _, o := range m.Observables {
			one(o.ID+" normally", o.Normally)
			for _, row := range o.Rows {
				one(o.ID+" row", row.P)
			}
		}
		for _, p := range c.Priors(b, family, "", now) {
			if !(p.Low >= 0 && p.Low <= p.High && p.High <= 1) {
				t.Fatalf("interval of %+v", p)
			}
		}
	}
}

// TestOnlyAgesMatter: moving every closing and the present by the same time
// changes nothing.
func TestOnlyAgesMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		jobs := drawJobs(t, b, 15)
		by := time.Duration(rapid.IntRange(-9, 9).Draw(t, "years")) * 8766 * time.Hour
		moved := make([]*kb.Job, len(jobs))
		for i, j := range jobs {
			m := *j
			if j.Closed() {
				closing := *j.Closing
				closing.At = closing.At.Add(by)
				m.Closing = &closing
			}
			moved[i] = &m
		}
		want, _ := count(b, jobs).Model(b, kiln, "", now)
		got, _ := count(b, moved).Model(b, kiln, "", now.Add(by))
		if diff := diffNear(want, got, 1e-9); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestOneHalfLife: jobs that are one half-life older weigh half, whatever it is
// that they count to; only seasons do not fade.
func TestOneHalfLife(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		b.Settings.HalfLifeYears = 2
		visits := drawVisits(t, b, 15)
		numbers := func(by time.Duration) map[string]float64 {
			c := New(b)
			for _, v := range visits {
				moved := *v.job
				if moved.Closed() {
					closing := *moved.Closing
					closing.At = closing.At.Add(-by)
					moved.Closing = &closing
				}
				visit{&moved, v.back, v.cameBack}.add(c)
			}
			all := maps.Collect(c.Numbers())
			maps.DeleteFunc(all, func(name string, _ float64) bool { return strings.Contains(name, ", season ") })
			return all
		}
		before, after := numbers(0), numbers(2*8766*time.Hour)
		for name, v := range before {
			if strings.HasSuffix(name, ", jobs") || strings.HasPrefix(name, "not counted") {
				before[name] = v
			} else {
				before[name] = v / 2
			}
		}
		if diff := diffNear(before, after, 1e-12); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestPriorsAndTablesAgreeWithModel: the lists show the model's numbers.
func TestPriorsAndTablesAgreeWithModel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		c := count(b, drawJobs(t, b, 20))
		changes := c.TableChanges(b, now)
		for i, ch := range changes {
			if i > 0 && math.Abs(ch.Now-ch.Start) > math.Abs(changes[i-1].Now-changes[i-1].Start)+1e-8 {
				t.Fatalf("%+v moved more than the one before it", ch)
			}
		}
		for _, family := range []string{kiln, oven} {
			m, _ := c.Model(b, family, "", now)
			priors := c.Priors(b, family, "", now)
			if len(priors) != len(m.Causes)+1 {
				t.Fatalf("%d priors of %d causes", len(priors), len(m.Causes))
			}
			for i, p := range priors {
				want := m.Unlisted
				if p.ID != kb.Unlisted {
					want = m.Causes[m.CauseIndex(p.ID)].Share
				}
				if p.Now != want || i > 0 && p.Now > priors[i-1].Now {
					t.Fatalf("%+v, but the model has %v", p, want)
				}
			}
			for _, o := range m.Observables {
				compareTable(t, c, m, &o, changes)
			}
		}
	})
}

func compareTable(t *rapid.T, c *Counts, m *kb.Model, o *kb.Observable, changes []TableChange) {
	key := o.Kind + "/" + o.ID
	for _, ch := range changes {
		if ch.Observable != key {
			continue
		}
		row := o.Normally
		if ch.Cause != "" {
			row = nil
			for _, r := range o.Rows {
				if m.Causes[r.Cause].ID == ch.Cause {
					row = r.P
				}
			}
		}
		for j, out := range o.Outcomes {
			if row != nil && out == ch.Outcome && row[j] != ch.Now {
				t.Fatalf("%+v, but the model has %v", ch, row[j])
			}
		}
	}
}

// TestWrittenAndReadBack: counts survive JSON to the last bit, and go on
// counting afterwards.
func TestWrittenAndReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		c := countVisits(b, drawVisits(t, b, 20))
		data, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		read, err := Read(b, data)
		if err != nil {
			t.Fatal(err)
		}
		if again, _ := json.Marshal(read); string(again) != string(data) {
			t.Fatalf("%s became %s", data, again)
		}
		j := drawJob(t, b)
		c.Add(j)
		read.Add(j)
		if diff := cmp.Diff(c, read, cmpopts.IgnoreUnexported(Counts{})); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestModelSharesNothing: writing all over a model reaches neither the base nor
// the counts.
func TestModelSharesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBase(t)
		c := count(b, drawJobs(t, b, 20))
		base, _ := json.Marshal(b)
		counts, _ := json.Marshal(c)
		m, _ := c.Model(b, kiln, "", now)
		want, _ := c.Model(b, kiln, "", now)
		for i := range m.Causes {
			m.Causes[i].Share = -1
		}
		for i := range m.Observables {
			o := &m.Observables[i]
			scribble(o.Normally)
			for _, row := range o.Rows {
				scribble(row.P)
			}
		}
		baseAfter, _ := json.Marshal(b)
		countsAfter, _ := json.Marshal(c)
		if string(base) != string(baseAfter) || string(counts) != string(countsAfter) {
			t.Fatal("the base or the counts changed")
		}
		got, _ := c.Model(b, kiln, "", now)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatal(diff)
		}
	})
}

func scribble(p []float64) {
	for j := range p {
		p[j] = -1
	}
}
