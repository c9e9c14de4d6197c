package score

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"sootsayer/kb"
)

// shippedJobs draws jobs over the shipped base, two families in turn, some five
// a day: a cause by its share, and what eight symptoms and checks show given it.
func shippedJobs(b *testing.B, n int) (*kb.Base, []Case) {
	base, problems := kb.Load(os.DirFS("../../data/base"))
	if errs := problems.Errors(); len(errs) > 0 {
		b.Fatal(errs)
	}
	rng := rand.New(rand.NewPCG(3, uint64(n)))
	var models []*kb.Model
	for _, id := range base.IDs("families")[:2] {
		m, err := kb.NewModel(base, id)
		if err != nil {
			b.Fatal(err)
		}
		models = append(models, m)
	}
	cases := make([]Case, n)
	for i := range cases {
		m := models[i%2]
		var shares []float64
		for _, c := range m.Causes {
			shares = append(shares, c.Share)
		}
		cause := draw(rng, shares)
		var acts []kb.Act
		for range 8 {
			o := &m.Observables[rng.IntN(len(m.Observables))]
			p := o.Normally
			for _, row := range o.Rows {
				if row.Cause == cause {
					p = row.P
				}
			}
			acts = append(acts, saw(o.Kind, o.ID, o.Outcomes[draw(rng, p)]))
		}
		cases[i] = Case{Job: closedJob(fmt.Sprint(i), m.Family, opening.Add(time.Duration(i)*5*time.Hour), 2, []string{m.Causes[cause].ID}, acts...)}
	}
	return base, cases
}

func draw(rng *rand.Rand, p []float64) int {
	r := rng.Float64()
	for k, v := range p {
		if r -= v; r < 0 {
			return k
		}
	}
	return len(p) - 1
}

// BenchmarkRun scores jobs with eight findings each over the shipped base. The
// promise is that the time is linear in the jobs: ms/job is the same for both
// sizes.
func BenchmarkRun(b *testing.B) {
	for _, n := range []int{200, 800} {
		b.Run(fmt.Sprintf("jobs=%d", n), func(b *testing.B) {
			base, cases := shippedJobs(b, n)
			for b.Loop() {
				if _, err := Run(base, cases, Options{}); err != nil {
					b.Fatal(err)
				}
			}
			perJob := b.Elapsed().Seconds() / float64(b.N) / float64(n)
			b.ReportMetric(1000*perJob, "ms/job")
			b.ReportMetric(1/perJob, "jobs/s")
		})
	}
}
