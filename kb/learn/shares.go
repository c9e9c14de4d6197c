package learn

import (
	"maps"
	"slices"

	"sootsayer/kb"
)

// familyPosterior is what is known of one family's root causes.
type familyPosterior struct {
	shares           []beta // marginals, by the model's causes
	unlisted, second beta
}

// family works out the posterior of an authored model's shares, for equipment
// of one model or, with "" and with a model that no closed job had, of the whole
// family.
func (c *Counts) family(m *kb.Model, model string, strength, scale float64) familyPosterior {
	f := c.Families[m.Family]
	if f == nil {
		f = &FamilyCounts{}
	}
	roots := rootWeights(m, f.Roots, scale)
	p := familyPosterior{shares: make([]beta, len(roots))}
	all := addUp(roots)
	for i, n := range roots {
		p.shares[i] = posterior(strength, m.Causes[i].Share, n, all)
	}
	p.unlisted = posterior(strength, m.Unlisted, f.Unlisted.at(scale), f.Jobs.at(scale))
	p.second = posterior(strength, m.SecondFault, f.Second.at(scale), f.Listed.at(scale))
	if own := f.Models[model]; model != "" && len(own) > 0 {
		p.pool(f.kappa(m, strength), rootWeights(m, own, scale))
	}
	return p
}

// pool moves a family's shares to those of one of its models, whose roots weigh
// own: a Dirichlet of kappa x the family's mean plus the model's own counts.
//
// This is empirical Bayes: a model's own jobs are in the family's mean too, so a
// model that makes up most of its family's jobs is told twice what it showed;
// its mean lies between the family's and its own all the same. How sure it is
// counts that the family's mean is not known either, and leaves the model's own
// jobs out of it: with variances in proportion to 1/jobs, the family's mean is
// worth 1 / (1/kappa + 1/(strength + jobs of the other models)) jobs. A family
// of one model so has the family's own intervals.
func (p *familyPosterior) pool(kappa float64, own []float64) {
	all := addUp(own)
	for i, s := range p.shares {
		mean := posterior(kappa, s.mean(), own[i], all).mean()
		others := max(0, s.a+s.b-all)
		jobs := all
		if kappa > 0 && others > 0 {
			jobs += 1 / (1/kappa + 1/others)
		}
		p.shares[i] = beta{a: jobs * mean, b: jobs * (1 - mean), start: s.start}
	}
}

// kappa is how many jobs the family's shares are worth to one of its models:
// fitted to all its models by [FitConcentration], so that they are worth the
// less the more the models differ. Its prior has the median `strength`: models
// without jobs to compare weigh the family as it weighs its start.
//
// It goes by numbers of jobs, not by what they weigh now: faded weights scatter
// less than as many jobs would, and models would seem more alike every year.
func (f *FamilyCounts) kappa(m *kb.Model, strength float64) float64 {
	mean := rootJobs(m, f.Roots)
	all := addUp(mean)
	for i, n := range mean {
		mean[i] = posterior(strength, m.Causes[i].Share, n, all).mean()
	}
	models := make([][]float64, 0, len(f.Models))
	for _, name := range slices.Sorted(maps.Keys(f.Models)) { // sums in one order are alike to the last bit
		models = append(models, rootJobs(m, f.Models[name]))
	}
	return FitConcentration(models, mean, strength)
}

// rootJobs is the number of jobs with each root, by the model's causes.
func rootJobs(m *kb.Model, roots map[string]Tally) []float64 {
	n := make([]float64, len(m.Causes))
	for i := range m.Causes {
		n[i] = float64(roots[m.Causes[i].ID].Jobs)
	}
	return n
}

// rootWeights is what roots weigh now, by the model's causes.
func rootWeights(m *kb.Model, roots map[string]Tally, scale float64) []float64 {
	w := make([]float64, len(m.Causes))
	for i := range m.Causes {
		w[i] = roots[m.Causes[i].ID].at(scale)
	}
	return w
}

// Kappa is how many jobs a family's shares are worth to one of its models, as
// the models of its closed jobs make it; 0 for an unknown family.
func (c *Counts) Kappa(b *kb.Base, family string) float64 {
	m, err := kb.NewModel(b, family)
	if err != nil {
		return 0
	}
	f := c.Families[family]
	if f == nil {
		f = &FamilyCounts{}
	}
	return f.kappa(m, b.Settings.Strength)
}
